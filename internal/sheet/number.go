package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// bounds are the values that a number may have, both ends included, and its
// unit as a message names it.
type bounds struct {
	low, high float64
	unit      string
}

// The same bounds as the config has.
var (
	latitude  = number(bounds{-90, 90, "degrees north, south is negative"})
	longitude = number(bounds{-180, 180, "degrees east, west is negative"})
	altitude  = number(bounds{-430, 5000, "metres above sea level"})
)

// marks is what is known of the decimal mark in a file.
type marks struct {
	comma, point bool // numbers that can be read one way only prove it, or somebody said it
}

var (
	plainNumber = regexp.MustCompile(`^-?(\d+)([.,](\d+))?$`)
	grouped     = regexp.MustCompile(`^-?\d{1,3}([., '’\x{a0}\x{202f}]\d{3})+([.,]\d+)?$`)
)

// proves notes what a cell proves of the decimal mark: a single mark that has
// another number of digits than three behind it, more than three before it, or
// a 0, parts no thousands.
func (m *marks) proves(c cell) {
	p := plainNumber.FindStringSubmatch(trimmed(minus(c.text)))
	if c.kind != textCell || p == nil || p[2] == "" || thousandsPossible(p) {
		return
	}
	m.comma = m.comma || p[2][0] == ','
	m.point = m.point || p[2][0] == '.'
}

func thousandsPossible(p []string) bool {
	return len(p[3]) == 3 && len(p[1]) <= 3 && p[1][0] != '0'
}

// minus turns the sign that typesetters use into the one that programs use.
func minus(text string) string { return strings.ReplaceAll(text, "−", "-") }

// number reads a number with a decimal point or comma.
func number(b bounds) value {
	return func(c cell, m marks) (string, *fault) {
		if c.kind == dayCell || c.kind == timeCell {
			return "", wrong(Mangled, "set the cell's format to a number and write it again", "the cell holds the day %s, which a spreadsheet probably made of a number", c.day)
		}
		text := minus(restored(trimmed(c.text)))
		if c.kind == numberCell {
			m = marks{point: true}
		}
		v, f := decimal(text, b, m)
		switch {
		case f != nil:
			return "", f
		case v < b.low || v > b.high:
			return "", wrong(OutOfBounds, b.unit+": is its decimal mark lost?", "%s is outside %s to %s", shortest(v), shortest(b.low), shortest(b.high))
		}
		return shortest(v), nil
	}
}

// decimal reads a number whose mark is proved by itself, by the bounds or by
// other numbers of the file.
func decimal(text string, b bounds, m marks) (float64, *fault) {
	p := plainNumber.FindStringSubmatch(text)
	switch {
	case p == nil && grouped.MatchString(text):
		return 0, wrong(BadNumber, "write it without them, with a decimal point", "%q seems to have marks between thousands", clip(text))
	case p == nil && mangledNumber(text):
		if v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64); err == nil && !math.IsInf(v, 0) {
			return v, nil
		}
		fallthrough
	case p == nil:
		return 0, wrong(BadNumber, shortest(b.low)+" to "+shortest(b.high)+", "+b.unit, "%q is no number", clip(text))
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0, wrong(BadNumber, b.unit, "%q is no number", clip(text))
	}
	if p[2] == "" || !thousandsPossible(p) {
		return v, nil
	}
	whole, _ := strconv.ParseFloat(strings.NewReplacer(",", "", ".", "").Replace(text), 64)
	mark := p[2][:1]
	proved := mark == "," && m.comma && !m.point || mark == "." && !m.comma
	if proved || whole < b.low || whole > b.high {
		return v, nil
	}
	return 0, wrong(BadNumber, "write it with a decimal point, or say --decimal comma or point", "%q may be %s or %s", text, shortest(v), shortest(whole))
}

// count reads a whole number from 0.
func count(most int, unit string) value {
	read := number(bounds{0, float64(most), unit})
	return func(c cell, m marks) (string, *fault) {
		text, f := read(c, m)
		if f == nil && strings.Contains(text, ".") {
			return "", wrong(BadNumber, "0 to "+strconv.Itoa(most)+", "+unit, "%s is not a whole number", text)
		}
		if f != nil && f.reason == OutOfBounds && strings.HasPrefix(trimmed(minus(c.text)), "-") {
			f.reason = BadNumber
		}
		return text, f
	}
}

// shortest writes a number with a decimal point and no more digits than it
// needs, of which 15 count: spreadsheets keep no more, and write 60.772 as
// 60.771999999999998.
func shortest(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	if err != nil || rounded == 0 {
		rounded = 0 // no sign
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
