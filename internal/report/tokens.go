package report

import (
	"strings"
	"unicode"
)

// token is a run of letters and digits, or a single other character.
type token struct {
	text  string // in lower case
	raw   string
	glued bool // no blank before it
}

func (t token) number() bool {
	for _, r := range t.text {
		if r < '0' || r > '9' {
			return false
		}
	}
	return t.text != ""
}

func (t token) word() bool {
	r := []rune(t.text)
	return len(r) > 0 && (unicode.IsLetter(r[0]) || unicode.IsDigit(r[0]))
}

// is reports whether the token is one of the single characters in marks.
func (t token) is(marks string) bool {
	return !t.word() && t.text != "" && strings.Contains(marks, t.text)
}

// tokens splits a tidy line. An apostrophe inside a word belongs to it.
func tokens(line string) (list []token) {
	glued := false
	runes := []rune(line)
	for at := 0; at < len(runes); {
		if unicode.IsSpace(runes[at]) {
			glued = false
			at++
			continue
		}
		end := at + 1
		if letterOrFigure(runes[at]) {
			for end < len(runes) && (letterOrFigure(runes[end]) || runes[end] == '\'' && end+1 < len(runes) && letterOrFigure(runes[end+1])) {
				end++
			}
		}
		raw := string(runes[at:end])
		list = append(list, token{text: strings.ToLower(raw), raw: raw, glued: glued})
		glued, at = true, end
	}
	return list
}

func letterOrFigure(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r)
}
