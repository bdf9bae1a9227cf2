package archive

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"time"
)

// Writer writes a backup.
type Writer struct {
	tar      *tar.Writer
	madeAt   time.Time
	manifest Manifest
}

// NewWriter begins a backup on w; its Format is set here.
func NewWriter(w io.Writer, h Head) (*Writer, error) {
	a := &Writer{tar: tar.NewWriter(w), madeAt: h.MadeAt}
	h.Format = format
	body, err := json.MarshalIndent(h, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing the head of the backup: %w", err)
	}
	return a, a.part(headPart, body)
}

// Table adds a table, whose text fill writes; it gives the number of rows.
func (a *Writer) Table(t Table, fill func(io.Writer) (rows int64, err error)) error {
	p := &parts{to: a, table: t.Name}
	rows, err := fill(p)
	if err == nil {
		err = p.flush()
	}
	if err != nil {
		return fmt.Errorf("backing up %s: %w", t.Name, err)
	}
	t.Rows = rows
	a.manifest.Tables = append(a.manifest.Tables, t)
	return nil
}

// Secret adds what isn't in a table.
func (a *Writer) Secret(name string, body []byte) error { return a.part(secretPart(name), body) }

func secretPart(name string) string { return "state/" + name }

// Close ends the backup with its manifest.
func (a *Writer) Close() error {
	body, err := json.MarshalIndent(a.manifest, "", "  ")
	if err == nil {
		err = a.part(manifestPart, body)
	}
	if err == nil {
		err = a.part(sumPart, []byte(digest(manifestPart, body).SHA256+"\n"))
	}
	if err == nil {
		err = a.tar.Close()
	}
	if err != nil {
		return fmt.Errorf("ending the backup: %w", err)
	}
	return nil
}

// Manifest is what was written.
func (a *Writer) Manifest() Manifest { return a.manifest }

func (a *Writer) part(name string, body []byte) error {
	sum := sha256.Sum256(body)
	a.manifest.Parts = append(a.manifest.Parts, Part{Name: name, Bytes: int64(len(body)), SHA256: hex.EncodeToString(sum[:])})
	if err := a.tar.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(body)), ModTime: a.madeAt, Format: tar.FormatPAX}); err != nil {
		return err
	}
	_, err := a.tar.Write(body)
	return err
}

// parts cuts the text of a table into parts.
type parts struct {
	to    *Writer
	table string
	count int
	buf   bytes.Buffer
}

// Write takes text; what fills a part is written.
func (p *parts) Write(text []byte) (n int, err error) {
	for len(text) > 0 {
		room := min(partBytes-p.buf.Len(), len(text))
		p.buf.Write(text[:room])
		text, n = text[room:], n+room
		if p.buf.Len() == partBytes {
			if err := p.flush(); err != nil {
				return n, err
			}
		}
	}
	return n, nil
}

func (p *parts) flush() error {
	if p.buf.Len() == 0 {
		return nil
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write(p.buf.Bytes()); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	p.buf.Reset()
	p.count++
	return p.to.part(fmt.Sprintf("%s%06d.gz", tablePrefix(p.table), p.count), packed.Bytes())
}

func tablePrefix(table string) string { return "tables/" + table + "/" }
