package archive

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Text reads the text of a table, as it was written.
func (a *Archive) Text(table string) io.Reader {
	r := &text{of: a}
	for _, p := range a.Parts {
		if strings.HasPrefix(p.Name, tablePrefix(table)) {
			r.left = append(r.left, p)
		}
	}
	return r
}

// Secret gives what isn't in a table; found is false where the backup has none
// of that name.
func (a *Archive) Secret(name string) (body []byte, found bool, err error) {
	for _, p := range a.Parts {
		if p.Name == secretPart(name) {
			body, err := a.bytes(p)
			return body, err == nil, err
		}
	}
	return nil, false, nil
}

// bytes reads a part again, and compares it again: the file may have changed.
func (a *Archive) bytes(p Part) ([]byte, error) {
	if _, err := a.from.Seek(a.at[p.Name], io.SeekStart); err != nil {
		return nil, fmt.Errorf("reading the backup: %w", err)
	}
	body := make([]byte, p.Bytes)
	if _, err := io.ReadFull(a.from, body); err != nil {
		return nil, &Damaged{Part: p.Name, What: err.Error()}
	}
	if digest(p.Name, body) != p {
		return nil, &Damaged{Part: p.Name, What: "it has changed since it was looked at"}
	}
	return body, nil
}

// text is the parts of a table, one after the other.
type text struct {
	of   *Archive
	left []Part
	now  *gzip.Reader // nil: the next part is to be opened
	name string       // of the part that is read
}

// Read gives the text of the parts that are left.
func (t *text) Read(b []byte) (int, error) {
	for {
		if t.now == nil {
			if len(t.left) == 0 {
				return 0, io.EOF
			}
			if err := t.next(); err != nil {
				return 0, err
			}
		}
		n, err := t.now.Read(b)
		if errors.Is(err, io.EOF) {
			t.now, err = nil, nil
		}
		if err != nil {
			return n, &Damaged{Part: t.name, What: err.Error()}
		}
		if n > 0 {
			return n, nil
		}
	}
}

func (t *text) next() error {
	body, err := t.of.bytes(t.left[0])
	if err != nil {
		return err
	}
	t.name, t.left = t.left[0].Name, t.left[1:]
	if t.now, err = gzip.NewReader(bytes.NewReader(body)); err != nil {
		return &Damaged{Part: t.name, What: err.Error()}
	}
	return nil
}
