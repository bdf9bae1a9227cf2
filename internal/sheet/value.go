package sheet

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"budcall/internal/trail"
)

// value reads what a cell says into the one form in which it is kept, or says
// what is wrong. Cells that are empty, formulas or errors never come to it.
type value func(c cell, m marks) (string, *fault)

// Lengths of texts, in characters. A line is as long as the config allows; a
// note as long as one is read.
const (
	longestLine = 200
	longestNote = 2000
)

const yes = "yes" // a flag that is set

// reportKinds are the kinds of report and answer that a table may hold.
var reportKinds = func() (names []string) {
	for _, k := range trail.Kinds() {
		names = append(names, string(k))
	}
	return names
}()

// line reads a text of one line.
func line(c cell, _ marks) (string, *fault) { return text(c, longestLine, false) }

// note reads a text that may have several lines.
func note(c cell, _ marks) (string, *fault) { return text(c, longestNote, true) }

func text(c cell, most int, lines bool) (string, *fault) {
	if c.kind == dayCell || c.kind == timeCell {
		return "", wrong(Mangled, "set the cell's format to text and write it again", "text belongs here, but the cell holds the day %s, which a spreadsheet may have made of it", c.day)
	}
	if n := utf8.RuneCountInString(c.text); n > most {
		return "", wrong(TooLong, "shorten it: is a quotation mark missing?", "the cell has %d characters, and at most %d are read", n, most)
	}
	value := trimmed(strings.ReplaceAll(strings.ReplaceAll(c.text, "\r\n", "\n"), "\r", "\n"))
	if starts, ok := formulaStart(value); ok {
		return "", wrong(Formula, "write the value; where the text is meant, put ' before it", "begins with %q, which a spreadsheet takes for a formula", starts)
	}
	value = restored(value)
	for _, r := range value {
		if unicode.IsControl(r) && !(lines && (r == '\n' || r == '\t')) {
			return "", wrong(Control, "write it on one line, as plain text", "%q holds a line break or a control character", clip(value))
		}
	}
	return value, nil
}

// trimmed takes white space off both ends.
func trimmed(s string) string { return strings.TrimSpace(s) }

var phonePattern = regexp.MustCompile(`^[0-9 \-/().+x]{3,40}$`)

// phone reads a number as people write it, in full.
func phone(c cell, _ marks) (string, *fault) {
	const cure = "write it in full in a cell whose format is text: +358 0 000 0001"
	value := restored(trimmed(c.text))
	switch {
	case c.kind != textCell:
		return "", wrong(Mangled, cure, "a spreadsheet took the phone number for the number %s, and a + or 0 before it may be lost", clip(c.text))
	case mangledNumber(value):
		return "", wrong(Mangled, cure, "a spreadsheet made %q of a phone number", clip(value))
	case !phonePattern.MatchString(value) || !strings.ContainsFunc(value, unicode.IsDigit):
		return "", wrong(BadText, cure, "%q is no phone number", clip(value))
	}
	return value, nil
}

var mailPattern = regexp.MustCompile(`^[^\s@<>",;]+@[^\s@<>",;]+$`)

// mailAddress reads name@domain; config looks closer.
func mailAddress(c cell, m marks) (string, *fault) {
	value, f := line(c, m)
	if f == nil && !mailPattern.MatchString(value) {
		return "", wrong(BadText, "name@domain, one address alone", "%q is no mail address", clip(value))
	}
	return value, f
}

// choice reads one of a few words.
func choice(words ...string) value {
	return func(c cell, m marks) (string, *fault) {
		value, f := line(c, m)
		if f != nil {
			return "", f
		}
		for _, w := range words {
			if strings.EqualFold(value, w) {
				return w, nil
			}
		}
		return "", wrong(BadChoice, "one of "+strings.Join(words, ", "), "%q is not known here", clip(value))
	}
}

// flagWords are the ways to say yes and no, in English, Finnish and Swedish.
var flagWords = map[string]string{
	"yes": yes, "true": yes, "x": yes, "1": yes, "kyllä": yes, "ja": yes,
	"no": "", "false": "", "0": "", "ei": "", "nej": "",
}

// flag reads yes or no; an empty cell is no.
func flag(c cell, _ marks) (string, *fault) {
	v, ok := flagWords[strings.ToLower(trimmed(c.text))]
	if !ok || c.kind == dayCell || c.kind == timeCell {
		return "", wrong(BadChoice, "write yes, or leave the cell empty", "%q is neither yes nor no", clip(c.text))
	}
	return v, nil
}

var dayNames = []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}

// weekdays reads days of the week, or one word for several.
func weekdays(c cell, m marks) (string, *fault) {
	value, f := line(c, m)
	if f != nil {
		return "", f
	}
	words := items(strings.ToLower(value))
	if len(words) == 1 && (words[0] == "any" || words[0] == "weekends" || words[0] == "workdays") {
		return words[0], nil
	}
	var named [7]bool
	for _, w := range words {
		i := dayNamed(w)
		if i < 0 {
			return "", wrong(BadChoice, "write any, weekends, workdays, or days such as fri sat sun", "%q is no day of the week", clip(w))
		}
		named[i] = true
	}
	var out []string
	for i, is := range named {
		if is {
			out = append(out, dayNames[i])
		}
	}
	return strings.Join(out, " "), nil
}

func dayNamed(word string) int {
	for i, short := range dayNames {
		full := [...]string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}[i]
		if word == short || word == full {
			return i
		}
	}
	return -1
}

// items parts a list at blanks, commas and semicolons.
func items(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' })
}
