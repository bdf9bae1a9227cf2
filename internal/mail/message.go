package mail

import (
	"bytes"
	"fmt"
	"strings"
)

// Message is one mail to one recipient, ready to be sent.
type Message struct {
	ID           string // the caller's name for it, to find it again; not sent
	EnvelopeFrom string // takes bounces; empty is the null sender <>
	To           string // the one recipient's bare address
	Bytes        []byte // header and body, lines ended by CRLF, at most 998 bytes a line
}

// maxLine is the longest line of a mail in bytes, without CRLF (RFC 5322 2.1.1).
const maxLine = 998

// check gives the outcome of a message that can't be sent as it is.
func (m Message) check() (Outcome, bool) {
	switch {
	case !plainAddress(m.EnvelopeFrom) && m.EnvelopeFrom != "":
		return Outcome{Result: Misconfigured, Stage: StageDial, Text: fmt.Sprintf(
			"the envelope sender %q isn't a mail address: correct the programme's sender address", m.EnvelopeFrom)}, false
	case !plainAddress(m.To):
		return Outcome{Result: Refused, Stage: StageDial, Text: fmt.Sprintf(
			"the recipient %q isn't a mail address: correct it where the person is listed", m.To)}, false
	}
	if err := checkLines(m.Bytes); err != nil {
		return Outcome{Result: Refused, Stage: StageDial, Text: err.Error()}, false
	}
	return Outcome{}, true
}

// plainAddress accepts local@domain and nothing that could end the command it
// is put into.
func plainAddress(s string) bool {
	at := strings.LastIndexByte(s, '@')
	if at <= 0 || at == len(s)-1 || len(s) > 254 {
		return false
	}
	return strings.IndexFunc(s, func(r rune) bool { return r <= ' ' || r == 0x7f || r == '<' || r == '>' }) < 0
}

// checkLines refuses what relays read differently: a CR alone (some take it
// for a line end, and what follows for the end of the mail) and lines that a
// relay may break where it likes.
func checkLines(b []byte) error {
	for n := 1; len(b) > 0; n++ {
		line, rest, _ := bytes.Cut(b, []byte("\n"))
		line = bytes.TrimSuffix(line, []byte("\r"))
		if bytes.IndexByte(line, '\r') >= 0 {
			return fmt.Errorf("line %d of the mail holds a CR without LF: this is a fault of the program, please report it with the mail", n)
		}
		if len(line) > maxLine {
			return fmt.Errorf("line %d of the mail has %d bytes, more than the %d allowed: this is a fault of the program, please report it with the mail", n, len(line), maxLine)
		}
		b = rest
	}
	return nil
}

func isASCII(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r > 0x7f }) < 0
}
