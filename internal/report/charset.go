package report

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// decodeCharset gives bytes of a named charset as UTF-8. Labels are read as
// browsers read them, so iso-8859-1 is windows-1252, as mail programs mean it.
// Without a label, or with one that nobody knows, or that the bytes belie,
// they are UTF-8 where they can be and windows-1252 where not.
func decodeCharset(raw []byte, label string) string {
	label = strings.ToLower(strings.TrimSpace(label))
	switch label {
	case "", "utf-8", "utf8", "us-ascii", "ascii", "unicode-1-1-utf-8":
		return unlabelled(raw)
	}
	enc, err := htmlindex.Get(label)
	if err != nil {
		return unlabelled(raw)
	}
	if strings.HasPrefix(label, "utf-16") { // a line end added on the way, byte by byte
		raw = bytes.TrimSuffix(raw, []byte("\r\n"))
	}
	out, _, err := transform.Bytes(unicode.BOMOverride(enc.NewDecoder()), raw)
	if err != nil || !utf8.Valid(out) {
		return unlabelled(raw)
	}
	return string(out)
}

func unlabelled(raw []byte) string {
	raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
	if utf8.Valid(raw) {
		return string(raw)
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(raw)
	if err != nil {
		return strings.ToValidUTF8(string(raw), "\ufffd")
	}
	return string(out)
}
