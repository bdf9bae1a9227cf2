package notice

import (
	"bytes"
	"fmt"
	"io"

	"github.com/emersion/go-message"
)

// How a mail that came in is attached.
const (
	mailFile   string = "mail.eml"
	wholeMail  string = "message/rfc822"
	plainBytes string = "application/octet-stream"
)

// attached puts a mail that came in behind a letter's own parts: as
// message/rfc822 (RFC 2046 section 5.2.1) where its bytes can travel as they
// are, or its parts can be encoded so that they do; else as a file in base64,
// which the standard forbids for message/rfc822.
// The letter becomes multipart/mixed with a boundary of its own.
func attached(l Letter, c content, b *bytes.Buffer) error {
	h := header(l, c)
	h.SetContentType("multipart/mixed", map[string]string{"boundary": boundary(l.ID + "mixed")})
	w, err := message.CreateWriter(b, h)
	if err != nil {
		return fmt.Errorf("writing mail %s: %w", l.ID, err)
	}
	var inner message.Header
	inner.SetContentType("multipart/alternative", map[string]string{"boundary": boundary(l.ID)})
	alternatives, err := w.CreatePart(inner)
	if err != nil {
		return fmt.Errorf("writing the text of mail %s: %w", l.ID, err)
	}
	if err := bodies(l, c, alternatives); err != nil {
		return err
	}
	if err := alternatives.Close(); err != nil {
		return fmt.Errorf("writing the text of mail %s: %w", l.ID, err)
	}
	var part message.Header
	part.SetContentDisposition("attachment", map[string]string{"filename": mailFile})
	mail, err := attachable(l.Reply.Mail)
	if err != nil {
		mail = l.Reply.Mail // it can't be taken apart
	}
	if err == nil || travels(mail) {
		part.Set("Content-Type", wholeMail)
		part.Set("Content-Transfer-Encoding", "7bit")
	} else {
		part.SetContentType(plainBytes, nil)
		part.Set("Content-Transfer-Encoding", "base64")
	}
	file, err := w.CreatePart(part)
	if err != nil {
		return fmt.Errorf("attaching the mail to %s: %w", l.ID, err)
	}
	if _, err := file.Write(mail); err != nil {
		return fmt.Errorf("attaching the mail to %s: %w", l.ID, err)
	}
	for _, closer := range []io.Closer{file, w} {
		if err := closer.Close(); err != nil {
			return fmt.Errorf("writing mail %s: %w", l.ID, err)
		}
	}
	return nil
}

// travels tells whether a mail's bytes may stand in another: ASCII, lines
// ended by CRLF and no longer than 998 bytes (RFC 5322 section 2.1.1).
func travels(raw []byte) bool {
	for line := range bytes.SplitSeq(raw, []byte("\r\n")) {
		if len(line) > 998 || bytes.ContainsFunc(line, func(r rune) bool { return r == '\r' || r == '\n' || r == 0 || r > 0x7e }) {
			return false
		}
	}
	return true
}
