package archive

import (
	"archive/tar"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Archive is a backup that was found whole.
type Archive struct {
	Head
	Manifest
	from io.ReadSeeker
	at   map[string]int64 // where the bytes of a part begin
}

// The largest part that is taken for one of ours: a part of a table grows a
// little where it can't be compressed.
const mostPartBytes = 64 << 20

// Open reads a whole backup and compares every part with its digest. What is
// wrong with it is a *Damaged, or says that this program can't read it.
func Open(from io.ReadSeeker) (*Archive, error) {
	a := &Archive{from: from, at: map[string]int64{}}
	var seen []Part
	var sum, want string
	err := a.walk(func(name string, body []byte) error {
		if len(seen) == 0 {
			return a.readHead(name, body, &seen)
		}
		switch name {
		case manifestPart:
			sum = digest(name, body).SHA256 + "\n"
			if err := json.Unmarshal(body, &a.Manifest); err != nil {
				return &Damaged{Part: name, What: err.Error()}
			}
			return nil
		case sumPart:
			want = string(body)
			return nil
		}
		seen = append(seen, digest(name, body))
		return nil
	})
	switch {
	case err != nil:
		return nil, err
	case len(seen) == 0:
		return nil, errors.New("this is no backup of budcall: it is empty (name a file that `budcall backup` wrote)")
	case sum != want && sum != "":
		return nil, &Damaged{Part: manifestPart, What: "its checksum is wrong"}
	}
	return a, a.compare(seen)
}

func (a *Archive) readHead(name string, body []byte, seen *[]Part) error {
	if name != headPart {
		return fmt.Errorf("this is no backup of budcall: its first part is %q (name a file that `budcall backup` wrote)", name)
	}
	if err := json.Unmarshal(body, &a.Head); err != nil {
		return &Damaged{Part: name, What: err.Error()}
	}
	if a.Format > format {
		return fmt.Errorf("the backup was made by a newer budcall (%s): restore it with that version", a.Program)
	}
	*seen = append(*seen, digest(name, body))
	return nil
}

func digest(name string, body []byte) Part {
	sum := sha256.Sum256(body)
	return Part{Name: name, Bytes: int64(len(body)), SHA256: hex.EncodeToString(sum[:])}
}

// compare holds what was read to what the manifest says was written.
func (a *Archive) compare(seen []Part) error {
	last := headPart
	if len(seen) > 0 {
		last = seen[len(seen)-1].Name
	}
	if len(a.Parts) == 0 {
		return &Damaged{Part: last, What: "the file ends after it, without its manifest"}
	}
	for i, want := range a.Parts {
		switch {
		case i >= len(seen):
			return &Damaged{Part: want.Name, What: "it is missing"}
		case seen[i].Name != want.Name:
			return &Damaged{Part: want.Name, What: fmt.Sprintf("%s stands in its place", seen[i].Name)}
		case seen[i] != want:
			return &Damaged{Part: want.Name, What: "its checksum is wrong"}
		}
	}
	if len(seen) > len(a.Parts) {
		return &Damaged{Part: seen[len(a.Parts)].Name, What: "the manifest doesn't know it"}
	}
	return nil
}

// walk gives every part in the order of the file.
func (a *Archive) walk(f func(name string, body []byte) error) error {
	if _, err := a.from.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("reading the backup: %w", err)
	}
	t, last := tar.NewReader(a.from), "before "+headPart
	for {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil && last == "before "+headPart {
			return fmt.Errorf("this is no backup of budcall: %w (name a file that `budcall backup` wrote)", err)
		}
		if err != nil {
			return &Damaged{Part: last, What: "what follows it can't be read: " + err.Error()}
		}
		if h.Size > mostPartBytes {
			return &Damaged{Part: h.Name, What: fmt.Sprintf("it would be %d bytes long", h.Size)}
		}
		if a.at[h.Name], err = a.from.Seek(0, io.SeekCurrent); err != nil {
			return fmt.Errorf("reading the backup: %w", err)
		}
		body, err := io.ReadAll(t)
		if err != nil {
			return &Damaged{Part: h.Name, What: err.Error()}
		}
		if err := f(h.Name, body); err != nil {
			return err
		}
		last = h.Name
	}
}
