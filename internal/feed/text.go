package feed

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

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

// cutFields cuts the first n fields of a line at commas, without the rest,
// trimmed and without quotes.
func cutFields(line string, n int) (fields []string, ok bool) {
	if strings.IndexByte(line, '"') >= 0 {
		fields, ok = splitFields(line, ',')
		return fields[:min(n, len(fields))], ok
	}
	fields = make([]string, 0, n)
	for len(fields) < n {
		field, rest, more := strings.Cut(line, ",")
		fields = append(fields, strings.TrimSpace(field))
		if !more {
			break
		}
		line = rest
	}
	return fields, true
}
