package sheet

import (
	"fmt"
	"regexp"
	"strings"

	"budcall/internal/civil"
)

// codeForm is how a code is written, and how a message says so. Config has the
// last word on codes that stand in its files.
type codeForm struct {
	pattern *regexp.Regexp
	cure    string
	small   bool // written in small letters
}

var (
	placeCode  = code(codeForm{regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,15}$`), "2 to 16 capital letters, digits and hyphens, a letter first: KOLMI", false})
	treeCode   = code(codeForm{regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,20}[0-9A-Z*]$`), "capital letters, a hyphen, digits: K-001", false})
	shortName  = code(codeForm{regexp.MustCompile(`^\p{Lu}[0-9]{1,3}$`), "T and a number, as people write it in a reply: T3", false})
	freeCode   = code(codeForm{regexp.MustCompile(`^[A-Z][A-Z0-9/*-]{1,29}$`), "capital letters, digits and hyphens, a letter first", false})
	personCode = code(codeForm{regexp.MustCompile(`^[a-z][a-z0-9-]{1,23}$`), "2 to 24 small letters, digits and hyphens, a letter first: maia", true})

	placeCodes = list(placeCode)
	freeCodes  = list(freeCode)
)

// code reads a code. What a spreadsheet has made a number or a day of is
// refused with what it probably was.
func code(form codeForm) value {
	return func(c cell, _ marks) (string, *fault) {
		cure := "set the column's format to text and write the code again: " + form.cure
		switch c.kind {
		case numberCell:
			return "", wrong(Mangled, cure, "a code belongs here, but the cell holds the number %s%s", c.text, probablyNumber(c.text))
		case dayCell, timeCell:
			return "", wrong(Mangled, cure, "a code belongs here, but the cell holds the day %s%s", c.day, probablyDay(c.day))
		}
		v := restored(trimmed(c.text))
		if form.pattern.MatchString(v) {
			return v, nil
		}
		if was, ok := mangledDay(v); ok {
			return "", wrong(Mangled, cure, "%q is no code but a day%s", clip(v), was)
		}
		if mangledNumber(v) || plainNumber.MatchString(v) {
			return "", wrong(Mangled, cure, "%q is no code but a number%s", clip(v), probablyNumber(v))
		}
		if starts, ok := formulaStart(v); ok {
			return "", wrong(Formula, "write the code", "begins with %q, which a spreadsheet takes for a formula", starts)
		}
		return "", wrong(BadCode, form.cure, "%q can't be a code here%s", clip(v), form.meant(v))
	}
}

// meant is the code that somebody wrote in letters of the other size.
func (f codeForm) meant(v string) string {
	other := strings.ToUpper(v)
	if f.small {
		other = strings.ToLower(v)
	}
	if f.pattern.MatchString(other) {
		return fmt.Sprintf(", did you mean %s?", other)
	}
	return ""
}

// list reads several codes, parted by blanks, commas or semicolons.
func list(one value) value {
	return func(c cell, m marks) (string, *fault) {
		if c.kind != textCell {
			return one(c, m)
		}
		var out []string
		for _, item := range items(restored(c.text)) {
			v, f := one(cell{text: item}, m)
			if f != nil {
				return "", f
			}
			out = append(out, v)
		}
		return strings.Join(out, " "), nil
	}
}

var (
	scientific = regexp.MustCompile(`^-?\d+([.,]\d+)?[eE][+-]?\d+$`)
	dayMonth   = regexp.MustCompile(`^(\d{1,2})[-./ ]+(\p{L}{3,})\.?$`)
	monthDay   = regexp.MustCompile(`^(\p{L}{3,})\.?[-./ ]+(\d{1,2}|\d{4})$`)
)

// mangledNumber reports whether a text is a number as spreadsheets shorten
// long ones.
func mangledNumber(text string) bool { return scientific.MatchString(text) }

// monthCodes are the beginnings of months' names in English, Finnish and
// Swedish, and the code that somebody is likely to have typed.
var monthCodes = []struct{ start, code string }{
	{"jan", "JAN"}, {"feb", "FEB"}, {"mar", "MAR"}, {"apr", "APR"}, {"may", "MAY"}, {"jun", "JUN"},
	{"jul", "JUL"}, {"aug", "AUG"}, {"sep", "SEP"}, {"oct", "OCT"}, {"nov", "NOV"}, {"dec", "DEC"},
	{"tam", "TAMMI"}, {"hel", "HELMI"}, {"maal", "MAALIS"}, {"huh", "HUHTI"}, {"tou", "TOUKO"}, {"kes", "KESÄ"},
	{"hei", "HEINÄ"}, {"elo", "ELO"}, {"syy", "SYYS"}, {"lok", "LOKA"}, {"joul", "JOULU"}, {"maj", "MAJ"}, {"okt", "OKT"},
}

func monthCode(name string) (string, bool) {
	name = strings.ToLower(name)
	for _, m := range monthCodes {
		if strings.HasPrefix(name, m.start) {
			return m.code, true
		}
	}
	return "", false
}

// mangledDay reports whether a text is a day as spreadsheets show codes such
// as MAR-12, and what it probably was.
func mangledDay(text string) (was string, ok bool) {
	if d, err := civil.Parse(text); err == nil {
		return probablyDay(d), true
	}
	if m := threeParts.FindStringSubmatch(text); m != nil {
		return "", true
	}
	number, month := "", ""
	if m := dayMonth.FindStringSubmatch(text); m != nil {
		number, month = m[1], m[2]
	} else if m := monthDay.FindStringSubmatch(text); m != nil {
		number, month = m[2], m[1]
	}
	code, ok := monthCode(month)
	if number == "" || !ok || strings.ToUpper(month) == month {
		return "", false // MAR.12 is a slip of the keyboard
	}
	return fmt.Sprintf(": it was probably %s-%s", code, number), true
}

func probablyDay(d civil.Date) string {
	return fmt.Sprintf(": it was probably %s-%d or %d-%d", strings.ToUpper(d.Month().String()[:3]), d.Day(), d.Day(), d.Month())
}

// probablyNumber is what somebody may have typed for a spreadsheet to make
// this number of it.
func probablyNumber(text string) string {
	text = strings.Replace(text, ",", ".", 1)
	if m := roundNumber.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf(": it was probably %sE%d", m[1], len(m[2]))
	}
	if m := exponent.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf(": it was probably %sE%s", m[1], m[2])
	}
	if digits, ok := strings.CutSuffix(text, ".0"); ok {
		text = digits
	}
	if len(text) <= 4 && plainNumber.MatchString(text) && !strings.Contains(text, ".") {
		return ": letters or zeros before it are lost"
	}
	return ""
}

var (
	roundNumber = regexp.MustCompile(`^([1-9]\d{0,2}?)(0{4,})$`)
	exponent    = regexp.MustCompile(`^(\d+)(?:\.0+)?[eE]\+?0*(\d+)$`)
)
