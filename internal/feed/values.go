package feed

import (
	"math"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// dateLayouts maps what a person declares to the standard library's layout.
// The list is closed: a date whose order isn't declared is never guessed.
var dateLayouts = []struct{ declared, layout string }{
	{"YYYY-MM-DD", "2006-01-02"},
	{"DD.MM.YYYY", "02.01.2006"},
	{"YYYYMMDD", "20060102"},
	{"MM/DD/YYYY", "01/02/2006"},
	{"DD/MM/YYYY", "02/01/2006"},
	{"YYYY/MM/DD", "2006/01/02"},
	{"YYYY.MM.DD", "2006.01.02"},
	{"YY.MM.DD", "06.01.02"},
	{"DD.MM.YY", "02.01.06"},
	{"MM.DD.YY", "01.02.06"},
	{"MM/DD/YY", "01/02/06"},
	{"DD/MM/YY", "02/01/06"},
}

// DateLayouts lists the orders of a date that can be declared.
func DateLayouts() []string {
	names := make([]string, len(dateLayouts))
	for i, l := range dateLayouts {
		names[i] = l.declared
	}
	return names
}

func goLayout(declared string) (layout string, known bool) {
	for _, l := range dateLayouts {
		if l.declared == declared {
			return l.layout, true
		}
	}
	return "", false
}

// parseDate reads a date of the layout; years before 1 are no date.
func parseDate(layout, text string) (civil.Date, bool) {
	t, err := time.Parse(layout, text)
	if err != nil || t.Year() < 1 {
		return 0, false
	}
	return civil.At(t), true
}

// dateOf gives the date of numbers, false where there is no such day.
func dateOf(year, month, day int) (civil.Date, bool) {
	if year < 1 || year > 9999 || month < 1 || month > 12 || day < 1 || day > 31 {
		return 0, false
	}
	d := civil.Of(year, time.Month(month), day)
	return d, day <= 28 || d.Day() == day
}

// wholeDigits reads a number of digits only, at most nine of them.
func wholeDigits(text string) (n int, ok bool) {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return 0, false
		}
		n = n*10 + int(text[i]-'0')
	}
	return n, text != "" && len(text) <= 9
}

// parseNumber reads a plain decimal number with the given decimal mark:
// no exponent, no thousands mark, no words, so that nothing but what people
// write for a temperature passes.
func parseNumber(text string, decimal byte) (float64, bool) {
	digits, marks := 0, 0
	for i := range len(text) {
		switch b := text[i]; {
		case b >= '0' && b <= '9':
			digits++
		case b == decimal:
			marks++
		case (b == '-' || b == '+') && i == 0:
		default:
			return math.NaN(), false
		}
	}
	if digits == 0 || digits > 15 || marks > 1 {
		return math.NaN(), false
	}
	if decimal == ',' {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

// celsius converts degrees Fahrenheit, to the hundredth.
func celsius(f float64) float64 { return hundredths((f - 32) / 1.8) }

// hundredths rounds computed temperatures to the digits they can mean.
func hundredths(c float64) float64 { return math.Round(c*100) / 100 }
