package archive_test

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/archive"
)

// made writes a backup of two tables and a secret.
func made(t testing.TB, first, second string) []byte {
	t.Helper()
	var file bytes.Buffer
	w, err := archive.NewWriter(&file, archive.Head{Program: "test", MadeAt: time.Date(2031, 5, 2, 18, 0, 0, 0, time.UTC), Schema: []archive.Step{{Name: "001", SHA256: "00"}}})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"report": first} {
		if err := w.Table(archive.Table{Name: name, Columns: []string{"id", "key"}, Last: 7}, func(to io.Writer) (int64, error) {
			_, err := io.WriteString(to, text)
			return int64(strings.Count(text, "\n")), err
		}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Table(archive.Table{Name: "owed"}, func(to io.Writer) (int64, error) {
		_, err := io.WriteString(to, second)
		return 0, err
	}); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.Secret("link.key", []byte("a key")), w.Close()); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

func textOf(t testing.TB, a *archive.Archive, table string) string {
	t.Helper()
	text, err := io.ReadAll(a.Text(table))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestWhatIsWrittenIsReadAgain(t *testing.T) {
	long := strings.Repeat("1\tsome text that is compressed well\n", 90_000) // three parts
	a, err := archive.Open(bytes.NewReader(made(t, long, "")))
	if err != nil {
		t.Fatal(err)
	}
	if got := textOf(t, a, "report"); got != long {
		t.Errorf("the text has %d bytes, not %d", len(got), len(long))
	}
	if got := textOf(t, a, "owed"); got != "" {
		t.Errorf("an empty table has the text %q", got)
	}
	if a.Program != "test" || a.Rows() != 90_000 || a.Tables[0].Last != 7 || len(a.Parts) != 6 { // computed by hand: head, 3 MB in 4 parts, key
		t.Errorf("got %+v", a)
	}
	if key, found, err := a.Secret("link.key"); err != nil || !found || string(key) != "a key" {
		t.Errorf("the secret is %q, %t, %v", key, found, err)
	}
	if _, found, err := a.Secret("another"); err != nil || found {
		t.Errorf("a secret that isn't there: %t, %v", found, err)
	}
}

// Every byte of the file counts: whichever is changed, nothing is taken.
func TestAChangedByteIsFound(t *testing.T) {
	whole := made(t, "1\tone\n2\ttwo\n", "3\tthree\n")
	a, err := archive.Open(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		at := rapid.IntRange(0, len(whole)-1).Draw(r, "at")
		broken := bytes.Clone(whole)
		broken[at] ^= byte(rapid.IntRange(1, 255).Draw(r, "bits"))
		b, err := archive.Open(bytes.NewReader(broken))
		if err != nil {
			return
		}
		// What isn't said to be damaged is as it was: a time, a mode, blanks between parts.
		if textOf(t, b, "report") != textOf(t, a, "report") || textOf(t, b, "owed") != textOf(t, a, "owed") {
			r.Errorf("byte %d was changed, and another text is taken for good", at)
		}
	})
}

func TestDamageIsNamed(t *testing.T) {
	whole := made(t, "1\tone\n", "2\ttwo\n")
	at := bytes.Index(whole, []byte("tables/owed/000001.gz"))
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"a byte of a table":   {flip(whole, at+512+12), "tables/owed/000001.gz: its checksum is wrong"},
		"the manifest":        {bytes.Replace(whole, []byte(`"rows": 1`), []byte(`"rows": 2`), 1), "manifest.json: its checksum is wrong"},
		"cut in a table":      {whole[:at+512+20], "tables/owed/000001.gz"},
		"cut before the end":  {whole[:bytes.Index(whole, []byte("manifest.json"))], "state/link.key: the file ends after it"},
		"not a tar":           {[]byte("id,name\n1,2\n"), "no backup of budcall"},
		"nothing at all":      {nil, "no backup of budcall"},
		"a newer file format": {bytes.Replace(whole, []byte(`"format": 1`), []byte(`"format": 9`), 1), "newer budcall"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := archive.Open(bytes.NewReader(c.file))
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("it says %v, not %q", err, c.says)
			}
		})
	}
}

func flip(b []byte, at int) []byte {
	b = bytes.Clone(b)
	b[at] ^= 1
	return b
}

func FuzzOpen(f *testing.F) {
	f.Add(made(f, "1\tone\n", ""))
	f.Add([]byte("not a backup"))
	f.Fuzz(func(t *testing.T, file []byte) {
		a, err := archive.Open(bytes.NewReader(file))
		if err != nil {
			return
		}
		for _, table := range a.Tables {
			_, _ = io.Copy(io.Discard, a.Text(table.Name)) // no panic; a digest may be right of what is no gzip
		}
	})
}
