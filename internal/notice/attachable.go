package notice

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime"
	"strings"
	"unicode/utf8"

	"github.com/emersion/go-message"
	_ "github.com/emersion/go-message/charset" // mails come in any

	"budcall/internal/report"
)

// attachable gives a mail that came in as it can be attached as a mail, to be
// opened with a tap: as it is where that travels and holds no picture, else with
// every part in an encoding that travels as ASCII, pictures without the place
// where they were taken, and without those that can't be cleaned. The mail as it
// came is kept elsewhere. An error means that it can only be attached as a file.
func attachable(raw []byte) ([]byte, error) {
	e, err := message.Read(bytes.NewReader(raw))
	if err != nil {
		return nil, fmt.Errorf("reading the mail: %w", err)
	}
	h := e.Header.Copy()
	if err := asciiFields(&h); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	encoding(&h)
	w, err := message.CreateWriter(&out, h)
	if err != nil {
		return nil, err
	}
	var c copying
	if err := c.part(w, e, 0); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if !c.pictures && travels(raw) {
		return raw, nil
	}
	if !travels(out.Bytes()) {
		return nil, fmt.Errorf("a line or letter of the mail can't travel")
	}
	return out.Bytes(), nil
}

// How the kinds of parts begin that are written otherwise than in base64.
const (
	partsKind string = "multipart/"
	textKind  string = "text/"
)

// deepest is how many parts within each other are followed.
const deepest = 20

// copying is a mail being copied.
type copying struct {
	pictures bool // it holds some
}

// part copies the body of a part, or the parts of it.
func (c *copying) part(w *message.Writer, e *message.Entity, depth int) error {
	parts := e.MultipartReader()
	if parts == nil {
		body, err := c.body(e)
		if err != nil {
			return err
		}
		_, err = w.Write(body)
		return err
	}
	if depth == deepest {
		return fmt.Errorf("parts stand in parts more than %d deep", deepest)
	}
	for {
		p, err := parts.NextPart()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		h := p.Header.Copy()
		if err := asciiFields(&h); err != nil {
			return err
		}
		encoding(&h)
		pw, err := w.CreatePart(h)
		if err != nil {
			return err
		}
		if err := c.part(pw, p, depth+1); err != nil {
			return err
		}
		if err := pw.Close(); err != nil {
			return err
		}
	}
}

// body gives what stands in a part: of a picture without the place where it was
// taken, and nothing of one that can't be cleaned.
func (c *copying) body(e *message.Entity) ([]byte, error) {
	body, err := io.ReadAll(e.Body)
	if err != nil || isText(e.Header) {
		return body, err
	}
	photo, err := report.StripPhoto(body)
	if errors.Is(err, report.ErrNotPicture) {
		return body, nil
	}
	c.pictures = true
	return photo.Bytes, nil // none where it can't be cleaned
}

// isText tells whether a part is text, which is also one that doesn't say.
func isText(h message.Header) bool {
	kind, _, err := h.ContentType()
	return err != nil || kind == "" || strings.HasPrefix(kind, textKind)
}

// encoding sets how a part is written: text, which was read into UTF-8, as
// quoted-printable, everything else that has no parts in base64.
func encoding(h *message.Header) {
	kind, params, err := h.ContentType()
	switch {
	case err == nil && strings.HasPrefix(kind, partsKind):
		h.Del("Content-Transfer-Encoding")
	case err != nil || strings.HasPrefix(kind, textKind) || kind == "":
		if params == nil {
			params = map[string]string{}
		}
		if kind == "" {
			kind = "text/plain"
		}
		params["charset"] = "utf-8"
		h.SetContentType(kind, params)
		h.Set("Content-Transfer-Encoding", "quoted-printable")
	default:
		h.Set("Content-Transfer-Encoding", "base64")
	}
}

// asciiFields encodes fields of a header that hold other letters (RFC 2047),
// where that changes no address.
func asciiFields(h *message.Header) error {
	for f := h.Fields(); f.Next(); {
		v := f.Value()
		if !strings.ContainsFunc(v, func(r rune) bool { return r > 0x7e }) {
			continue
		}
		if !strings.EqualFold(f.Key(), "Subject") || !utf8.ValidString(v) {
			return fmt.Errorf("the field %s can't travel", f.Key())
		}
		h.Set("Subject", mime.QEncoding.Encode("utf-8", v))
		return asciiFields(h)
	}
	return nil
}
