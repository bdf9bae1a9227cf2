package inbox

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"
)

// Key tells messages apart: a SHA-256 of what the sender wrote.
type Key [sha256.Size]byte

// String gives the key in hexadecimal.
func (k Key) String() string { return hex.EncodeToString(k[:]) }

// Short gives enough of the key to find a message again, for logs.
func (k Key) Short() string { return hex.EncodeToString(k[:6]) }

// underway are the fields that mail servers and filters add on the way
// (RFC 5321 section 4.4, RFC 8601, RFC 8617, and what is common practice). They
// differ between two deliveries of one message.
var underway = []string{
	"return-path", "received", "delivered-to", "x-original-to", "envelope-to", "x-received", "x-envelope-from", "x-envelope-to",
	"authentication-results", "arc-authentication-results", "arc-message-signature", "arc-seal", "received-spf", "x-delivered-to",
}

// underwayPrefixes are the beginnings of fields of filters.
var underwayPrefixes = []string{"x-spam-", "x-virus-", "x-rspamd-", "x-forwarded-"}

// KeyOf gives the key of a message: SHA-256 of its bytes with line ends as LF
// and without the fields that were added on the way, so that a message that
// comes twice, by whichever way, is one, and two messages that share a
// Message-ID are two. Where a message has neither Message-ID nor Date, the
// fields of the way count as well: nothing else tells two equal ones apart.
func KeyOf(raw []byte) Key {
	header, body := split(bytes.ReplaceAll(raw, []byte("\r\n"), []byte("\n")))
	fields := fieldsOf(header)
	named := slices.ContainsFunc(fields, func(f []byte) bool { n := nameOf(f); return n == "message-id" || n == "date" })
	h := sha256.New()
	for _, f := range fields {
		if !named || !addedUnderway(nameOf(f)) {
			h.Write(f)
		}
	}
	h.Write([]byte("\n"))
	h.Write(body)
	return Key(h.Sum(nil))
}

// split parts a message at its first empty line.
func split(raw []byte) (header, body []byte) {
	if bytes.HasPrefix(raw, []byte("\n")) {
		return nil, raw[1:]
	}
	if i := bytes.Index(raw, []byte("\n\n")); i >= 0 {
		return raw[:i+1], raw[i+2:]
	}
	return raw, nil
}

// fieldsOf parts a header into fields, each with its folded lines.
func fieldsOf(header []byte) (fields [][]byte) {
	start := 0
	for i := range header {
		last := i+1 == len(header)
		if header[i] == '\n' && (last || header[i+1] != ' ' && header[i+1] != '\t') || last {
			fields = append(fields, header[start:i+1])
			start = i + 1
		}
	}
	return fields
}

// nameOf is the name of a field in lower case; empty where there is none.
func nameOf(field []byte) string {
	name, _, ok := bytes.Cut(field, []byte(":"))
	if !ok {
		return ""
	}
	return strings.ToLower(strings.TrimSpace(string(name)))
}

func addedUnderway(name string) bool {
	return slices.Contains(underway, name) || slices.ContainsFunc(underwayPrefixes, func(p string) bool { return strings.HasPrefix(name, p) })
}

// valueOf gives the value of the first field of that name, unfolded and
// trimmed.
func valueOf(raw []byte, name string) string {
	header, _ := split(bytes.ReplaceAll(raw, []byte("\r\n"), []byte("\n")))
	for _, f := range fieldsOf(header) {
		if nameOf(f) == name {
			_, value, _ := bytes.Cut(f, []byte(":"))
			return strings.Join(strings.Fields(string(value)), " ")
		}
	}
	return ""
}
