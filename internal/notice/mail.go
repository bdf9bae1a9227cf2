package notice

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"mime"
	netmail "net/mail"
	"strings"

	"github.com/emersion/go-message"
	"github.com/emersion/go-message/mail"
)

// Mail gives a letter as a message of RFC 5322: text and HTML as the
// alternatives of RFC 2046, section 5.1.4, both quoted-printable, lines ended
// by CRLF. The same letter always gives the same bytes.
//
// It refuses addresses and identifiers that can't stand in a header field, and
// letters that say nothing. Everything else that people may have written is
// made fit to print.
func Mail(l Letter) ([]byte, error) {
	if err := check(l); err != nil {
		return nil, fmt.Errorf("writing a mail: %w", err)
	}
	c := compose(l)
	var b bytes.Buffer
	if l.Reply != nil && len(l.Reply.Mail) > 0 {
		err := attached(l, c, &b)
		return b.Bytes(), err
	}
	w, err := message.CreateWriter(&b, header(l, c))
	if err != nil {
		return nil, fmt.Errorf("writing mail %s: %w", l.ID, err)
	}
	if err := bodies(l, c, w); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("writing mail %s: %w", l.ID, err)
	}
	return b.Bytes(), nil
}

// bodies writes a letter's text and its HTML.
func bodies(l Letter, c content, w *message.Writer) error {
	for _, part := range []struct{ mediaType, body string }{
		{"text/plain", text(c)},
		{"text/html", string(html(c))},
	} {
		if err := write(w, part.mediaType, part.body); err != nil {
			return fmt.Errorf("writing the %s part of mail %s: %w", part.mediaType, l.ID, err)
		}
	}
	return nil
}

func write(w *message.Writer, mediaType, body string) error {
	var h message.Header
	h.Set("Content-Transfer-Encoding", "quoted-printable")
	h.SetContentType(mediaType, map[string]string{"charset": "utf-8"})
	part, err := w.CreatePart(h)
	if err != nil {
		return err
	}
	if _, err := io.WriteString(part, strings.ReplaceAll(body, "\n", "\r\n")); err != nil {
		return err
	}
	return part.Close()
}

// header gives the header fields. They are written last set first.
func header(l Letter, c content) message.Header {
	var h mail.Header
	h.SetContentType("multipart/alternative", map[string]string{"boundary": boundary(l.ID)})
	h.Set("MIME-Version", "1.0")
	h.Set("Content-Language", c.Lang)
	h.Set("X-Auto-Response-Suppress", "All") // Exchange
	h.Set("Auto-Submitted", submitted(l))
	if thread := ids(l); len(thread) > 0 {
		h.SetMsgIDList("References", thread)
		h.SetMsgIDList("In-Reply-To", thread[len(thread)-1:])
	}
	h.SetMessageID(l.ID + "@" + l.Domain)
	h.SetSubject(cut(c.Subject, maxSubject))
	h.Set("To", address(l.ToName, l.To))
	if l.ReplyTo != "" {
		h.Set("Reply-To", address(l.FromName, l.ReplyTo))
	}
	h.Set("From", address(l.FromName, l.From))
	h.SetDate(l.At)
	return h.Header
}

// ids is the thread's identifiers: of a long one the first and the latest, as
// RFC 5322 section 3.6.4 needs no more to hold a thread together.
func ids(l Letter) []string {
	var all []string
	for _, id := range l.Thread {
		all = append(all, id+"@"+l.Domain)
	}
	if len(all) > maxThread {
		all = append(all[:1], all[len(all)-maxThread+1:]...)
	}
	return all
}

// address writes a mailbox. The standard library encodes a name as RFC 2047
// section 5 wants it in a phrase, by base64 where it holds what an encoded word
// may not, but for a backslash, which it lets stand.
func address(name, mailbox string) string {
	name = cut(oneLine(name), maxName)
	if encoded := mime.BEncoding.Encode("utf-8", name); encoded != name && strings.Contains(name, `\`) {
		return encoded + " <" + mailbox + ">"
	}
	return (&netmail.Address{Name: name, Address: mailbox}).String()
}

// boundary is derived from the letter's ID. A quoted-printable body can't hold
// it, since there an equals sign is followed by two hexadecimal digits or the
// line's end.
func boundary(id string) string {
	sum := sha256.Sum256([]byte(id))
	return "=_" + hex.EncodeToString(sum[:15])
}

const autoReplied string = "auto-replied"

// submitted says that a program wrote the letter (RFC 3834 section 5), and
// whether in answer to a mail.
func submitted(l Letter) string {
	if l.Kind == Receipt || l.Kind == Tap {
		return autoReplied
	}
	return "auto-generated"
}
