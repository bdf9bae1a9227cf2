package sheet

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Windows1252 is the name of the one old encoding that can be said.
const Windows1252 = "windows-1252"

// windows1252 is the letters of the bytes 0x80 to 0x9f; the rest is as in
// ISO 8859-1. 0 is no letter (WHATWG's index would let it through).
var windows1252 = [32]rune{
	'€', 0, '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', 0, 'Ž', 0,
	0, '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', 0, 'ž', 'Ÿ',
}

// decoded gives a file's text with lines ended by \n or \r\n, and how many
// lines were left out before it (none so far). UTF-8 and marked UTF-16 prove
// themselves; no old encoding does, so it must be said.
func decoded(body []byte, o Options) (text string, skipped int, rejected *Reject) {
	switch {
	case bytes.HasPrefix(body, []byte("\xef\xbb\xbf")):
		body = body[3:]
	case bytes.HasPrefix(body, []byte("\xff\xfe")):
		return fromUTF16(body[2:], binary.LittleEndian, o)
	case bytes.HasPrefix(body, []byte("\xfe\xff")):
		return fromUTF16(body[2:], binary.BigEndian, o)
	}
	if at := bytes.IndexByte(body, 0); at >= 0 {
		if 3*bytes.Count(body, []byte{0}) > len(body) {
			return "", 0, o.refuse(1, Encoding, "save it as UTF-8", "the file seems to be UTF-16 without the mark that says so")
		}
		return "", 0, o.refuse(countLines(body, at), Control, "the file is damaged or no text: save it anew", "the line holds a NUL")
	}
	if o.Encoding == Windows1252 {
		return from1252(body, o)
	}
	if !utf8.Valid(body) {
		at := firstInvalid(body)
		as, _, _ := from1252(lineAround(body, at), Options{})
		return "", 0, o.refuse(countLines(body, at), Encoding, "save it as UTF-8, or say --encoding "+Windows1252+" if this reads well", "the letters aren't UTF-8; as Windows-1252 the line reads %q", clip(as))
	}
	return unixLines(string(body)), 0, nil
}

func fromUTF16(body []byte, order binary.ByteOrder, o Options) (string, int, *Reject) {
	if len(body)%2 == 1 {
		return "", 0, o.refuse(0, Damaged, "save it anew", "the file ends in the middle of a UTF-16 letter")
	}
	units := make([]uint16, len(body)/2)
	for i := range units {
		units[i] = order.Uint16(body[2*i:])
	}
	text := string(utf16.Decode(units))
	if at := strings.IndexRune(text, 0); at >= 0 {
		return "", 0, o.refuse(1+strings.Count(text[:at], "\n"), Control, "the file is damaged or no text: save it anew", "the line holds a NUL")
	}
	return unixLines(text), 0, nil
}

func from1252(body []byte, o Options) (string, int, *Reject) {
	var b strings.Builder
	for i, c := range body {
		r := rune(c)
		if c >= 0x80 && c < 0xa0 {
			r = windows1252[c-0x80]
		}
		if r == 0 {
			return b.String(), 0, o.refuse(countLines(body, i), Encoding, "save it as UTF-8", "byte %#x is no letter of Windows-1252", c)
		}
		b.WriteRune(r)
	}
	return unixLines(b.String()), 0, nil
}

// unixLines ends lines by \n where the file ends them by \r alone.
func unixLines(text string) string {
	if !strings.Contains(text, "\n") {
		return strings.ReplaceAll(text, "\r", "\n")
	}
	return text
}

func firstInvalid(body []byte) int {
	for i := 0; i < len(body); {
		r, n := utf8.DecodeRune(body[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return 0
}

// lineAround gives the line on which a byte stands.
func lineAround(body []byte, at int) []byte {
	start := bytes.LastIndexByte(body[:at], '\n') + 1
	if end := bytes.IndexByte(body[at:], '\n'); end >= 0 {
		return body[start : at+end]
	}
	return body[start:]
}
