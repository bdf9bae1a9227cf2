package feed

import (
	"bytes"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	textunicode "golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// readAll is io.ReadAll with one allocation where the length is known.
func readAll(r io.Reader) ([]byte, error) {
	var b bytes.Buffer
	if sized, ok := r.(interface{ Len() int }); ok {
		b.Grow(sized.Len() + bytes.MinRead)
	}
	_, err := b.ReadFrom(r)
	return b.Bytes(), err
}

// looksReadable refuses what is no data of any format: nothing, an archive,
// a web page.
func looksReadable(body []byte, format string) error {
	start := bytes.TrimSpace(bytes.TrimPrefix(body[:min(len(body), 512)], []byte("\xef\xbb\xbf")))
	switch {
	case len(start) == 0 && len(body) <= 512:
		return refuse("look whether the source still writes it", "the %s data is empty", format)
	case bytes.HasPrefix(body, []byte("\x1f\x8b")), bytes.HasPrefix(body, []byte("PK\x03\x04")):
		return refuse("unpack it first", "this is a compressed file, not %s data", format)
	case isPage(start):
		return refuse("open the address in a browser: it may be a login, an error or a wrong address", "this is an HTML page, not %s data", format)
	}
	return nil
}

func isPage(start []byte) bool {
	lower := bytes.ToLower(start)
	return bytes.HasPrefix(lower, []byte("<!doctype html")) || bytes.HasPrefix(lower, []byte("<html"))
}

// decode turns the bytes of a text file into UTF-8: a byte-order mark says
// which encoding it is, else valid UTF-8 is taken as such, and the rest is
// Windows-1252, in which every byte means something.
func decode(body []byte) string {
	hasMark := bytes.HasPrefix(body, []byte("\xff\xfe")) || bytes.HasPrefix(body, []byte("\xfe\xff"))
	if body = bytes.TrimPrefix(body, []byte("\xef\xbb\xbf")); !hasMark && utf8.Valid(body) {
		return string(body)
	}
	// Neither decoder fails: a bad sequence becomes U+FFFD, and the line that
	// holds it is rejected when its field is read.
	text, _, _ := transform.Bytes(textunicode.BOMOverride(charmap.Windows1252.NewDecoder()), body)
	return string(text)
}

// shorten makes text fit for a message: printable, at most 80 characters.
func shorten(text string) string { return shortenTo(80, text) }

func shortenTo(most int, text string) string {
	text = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, strings.TrimSpace(text[:min(len(text), 4*most)]))
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-1]) + "…"
}

// splitFields cuts one line at sep, minding double quotes ("" inside quotes
// is a quote). Fields come trimmed. A quote left open makes it false: the
// line is damaged.
func splitFields(line string, sep byte) (fields []string, ok bool) {
	for {
		trimmed := strings.TrimLeft(line, " ")
		if !strings.HasPrefix(trimmed, `"`) {
			end := strings.IndexByte(line, sep)
			if end < 0 {
				return append(fields, strings.TrimSpace(line)), true
			}
			fields, line = append(fields, strings.TrimSpace(line[:end])), line[end+1:]
			continue
		}
		field, rest, closed := quoted(trimmed[1:])
		if !closed {
			return nil, false
		}
		fields = append(fields, strings.TrimSpace(field))
		rest = strings.TrimLeft(rest, " ")
		if rest == "" {
			return fields, true
		}
		if rest[0] != sep {
			return nil, false
		}
		line = rest[1:]
	}
}

// quoted reads up to the closing quote.
func quoted(text string) (field, rest string, closed bool) {
	var b strings.Builder
	for {
		end := strings.IndexByte(text, '"')
		if end < 0 {
			return "", "", false
		}
		b.WriteString(text[:end])
		if !strings.HasPrefix(text[end+1:], `"`) {
			return b.String(), text[end+1:], true
		}
		b.WriteByte('"')
		text = text[end+2:]
	}
}
