package report

import (
	"bytes"
	"io"
	"mime"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// header is the fields of a mail or of a part, names in lower case.
type header map[string][]string

// Limits of a header, far beyond what mail programs write.
const (
	longestHeader = 256 << 10
	mostFields    = 1000
	longestField  = 16 << 10
)

// splitHeader parts a mail or a part into its fields and its body. Lines that
// are no fields are passed over; a body without a blank line above is empty.
func splitHeader(raw []byte) (header, []byte) {
	h := header{}
	name, fields, used := "", 0, 0
	var value []byte
	keep := func() {
		if name != "" && fields <= mostFields {
			h[name] = append(h[name], string(value))
			fields++
		}
		name = ""
	}
	for len(raw) > 0 {
		line, rest := cutLine(raw)
		used += len(raw) - len(rest)
		raw = rest
		if len(line) == 0 {
			break
		}
		if used > longestHeader {
			continue
		}
		if line[0] == ' ' || line[0] == '\t' {
			if len(value) < longestField {
				value = append(append(value, ' '), bytes.TrimSpace(line)...)
			}
			continue
		}
		keep()
		if key, after, ok := bytes.Cut(line, []byte(":")); ok && len(key) < 100 && !bytes.ContainsAny(bytes.TrimRight(key, " \t"), " \t") {
			name = strings.ToLower(string(bytes.TrimSpace(key)))
			value = append(value[:0], bytes.TrimSpace(after)...)
		}
	}
	keep()
	return h, raw
}

// cutLine gives the first line, without its end, and the rest.
func cutLine(raw []byte) (line, rest []byte) {
	at := bytes.IndexByte(raw, '\n')
	if at < 0 {
		return bytes.TrimSuffix(raw, []byte("\r")), nil
	}
	return bytes.TrimSuffix(raw[:at], []byte("\r")), raw[at+1:]
}

// get gives the first field of a name, or nothing.
func (h header) get(name string) string {
	if list := h[name]; len(list) > 0 {
		return list[0]
	}
	return ""
}

// words gives a field with its encoded words (RFC 2047) read.
func (h header) words(name string) string { return encodedWords(h.get(name)) }

func encodedWords(s string) string {
	d := mime.WordDecoder{CharsetReader: func(charset string, in io.Reader) (io.Reader, error) {
		raw, err := io.ReadAll(in)
		return strings.NewReader(decodeCharset(raw, charset)), err
	}}
	out, err := d.DecodeHeader(s)
	if err != nil {
		out = s
	}
	return composed(decodeCharset([]byte(out), ""))
}

// composed gives s in NFC.
func composed(s string) string { return norm.NFC.String(s) }

// media gives the media type of a part in lower case and its parameters.
// Without one, or with one that can't be read, it is plain text, as RFC 2045
// has it.
func (h header) media() (string, map[string]string) {
	field := h.get("content-type")
	if field == "" {
		return "text/plain", nil
	}
	kind, params, err := mime.ParseMediaType(field)
	if err != nil && kind == "" {
		kind, _, _ = strings.Cut(strings.ToLower(field), ";")
		kind = strings.TrimSpace(kind)
	}
	if !strings.Contains(kind, "/") {
		return "text/plain", params
	}
	return kind, params
}

// attached reports whether a part is to be saved rather than shown, and gives
// its file name where it has one.
func (h header) attached() (bool, string) {
	_, params := h.media()
	kind, disposition, err := mime.ParseMediaType(h.get("content-disposition"))
	name := params["name"]
	if err == nil && disposition["filename"] != "" {
		name = disposition["filename"]
	}
	if kind == "" {
		kind, _, _ = strings.Cut(strings.ToLower(h.get("content-disposition")), ";")
	}
	return strings.TrimSpace(kind) == "attachment", fileName(encodedWords(name))
}

// fileName makes a name printable and short, without folders.
func fileName(name string) string {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	name = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) { // a direction mark would show another ending
			return -1
		}
		return r
	}, name)
	return cut(quoted(name), 100)
}

// address gives the mail address of a From field, in lower case, and the name
// that stands with it.
func (h header) address() (address, name string) {
	field := h.get("from")
	if open := strings.LastIndexByte(field, '<'); open >= 0 {
		inside, _, _ := strings.Cut(field[open+1:], ">")
		name = encodedWords(strings.Trim(strings.TrimSpace(field[:open]), `"`))
		return strings.ToLower(strings.TrimSpace(inside)), quoted(name)
	}
	for _, word := range strings.FieldsFunc(field, func(r rune) bool { return strings.ContainsRune(" \t,;()\"", r) }) {
		if strings.Contains(word, "@") {
			return strings.ToLower(word), ""
		}
	}
	return "", ""
}

// ids gives the message identifiers of a field, without angle brackets; the
// last of them where there are more than mostIDs.
func ids(field string) (list []string) {
	for {
		_, rest, ok := strings.Cut(field, "<")
		if !ok {
			break
		}
		var id string
		if id, field, ok = strings.Cut(rest, ">"); !ok {
			break
		}
		if id = strings.TrimSpace(id); id != "" && len(id) < 1000 {
			if len(list) >= 2*mostIDs {
				list = append(list[:0], list[mostIDs:]...)
			}
			list = append(list, id)
		}
	}
	return list[max(0, len(list)-mostIDs):]
}

// mostIDs is how many tokens of a field are looked up.
const mostIDs = 20
