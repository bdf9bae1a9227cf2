package pseudonym

import (
	"bytes"
	"encoding/base64"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"strings"
)

// MailMentions reports whether a mail has the person's name, or a part of it,
// address or number, however it is encoded. A mail that can't be taken apart is said to, as nobody
// can tell.
func (r *Replacer) MailMentions(raw []byte) bool {
	if r.likely(string(raw)) {
		return true
	}
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		return true
	}
	for _, values := range m.Header {
		for _, v := range values {
			if r.likely(decoded(v)) {
				return true
			}
		}
	}
	found, err := r.part(part{m.Header.Get("Content-Type"), m.Header.Get("Content-Transfer-Encoding"), m.Body}, 0)
	return found || err != nil
}

func (r *Replacer) likely(s string) bool {
	return r.Mentions(s) || r.words != nil && r.words.MatchString(s)
}

func decoded(header string) string {
	if s, err := new(mime.WordDecoder).DecodeHeader(header); err == nil {
		return s
	}
	return header
}

// part is a part of a mail.
type part struct {
	kind, encoding string
	body           io.Reader
}

// deepest is how many parts within parts are looked into.
const deepest = 20

var errTooDeep = errors.New("parts within parts without end")

func (r *Replacer) part(p part, depth int) (bool, error) {
	if depth > deepest {
		return false, errTooDeep
	}
	kind, params, err := mime.ParseMediaType(p.kind)
	if err != nil {
		kind = "text/plain"
	}
	body := p.body
	switch strings.ToLower(strings.TrimSpace(p.encoding)) {
	case "base64":
		body = base64.NewDecoder(base64.StdEncoding, body)
	case "quoted-printable":
		body = quotedprintable.NewReader(body)
	}
	if strings.HasPrefix(kind, "multipart/") {
		return r.parts(multipart.NewReader(body, params["boundary"]), depth)
	}
	whole, err := io.ReadAll(body)
	if err != nil {
		return false, err
	}
	if kind == "message/rfc822" {
		return r.MailMentions(whole), nil
	}
	return r.likely(params["name"]) || r.likely(string(whole)) || r.likely(latin(whole)), nil
}

func (r *Replacer) parts(m *multipart.Reader, depth int) (bool, error) {
	for n := 0; ; n++ {
		p, err := m.NextRawPart()
		if errors.Is(err, io.EOF) && n > 0 {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		if r.likely(decoded(p.Header.Get("Content-Disposition"))) {
			return true, nil
		}
		if found, err := r.part(part{p.Header.Get("Content-Type"), p.Header.Get("Content-Transfer-Encoding"), p}, depth+1); found || err != nil {
			return found, err
		}
	}
}

// latin reads bytes as ISO 8859-1, which is what old mail programs write.
func latin(b []byte) string {
	var s strings.Builder
	for _, c := range b {
		s.WriteRune(rune(c))
	}
	return s.String()
}
