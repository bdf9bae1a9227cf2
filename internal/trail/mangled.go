package trail

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// mangled tells whether a spreadsheet would have made what is written out of a
// known code: 00012 becomes 12, 1E5 becomes 100000 or 1.00E+05, MAR-01 becomes
// 1 March or March of a year.
func mangled(written, known string) (Slip, bool) {
	text := strings.TrimSpace(written)
	if n, ok := numberOf(text); ok {
		if k, ok := numberOf(known); ok && math.Abs(n-k) <= 1e-9*max(1, math.Abs(k)) {
			return MadeANumber, true
		}
	}
	month, number, ok := dateLike(known)
	if !ok {
		return "", false
	}
	for _, d := range datesOf(text) {
		if int(d.Month()) == month && (d.Day() == number || d.Day() == 1 && d.Year()%100 == number%100) {
			return MadeADate, true
		}
	}
	return "", false
}

var numeric = regexp.MustCompile(`^[0-9]{1,15}(?:[.,][0-9]{1,15})?(?:[eE][+-]?[0-9]{1,3})?$`)

// numberOf reads a text that a spreadsheet takes for a number.
func numberOf(text string) (float64, bool) {
	if !numeric.MatchString(text) {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	return v, err == nil // beyond the range of float64 it is no number to a spreadsheet either
}

var monthNumber = map[string]int{"JAN": 1, "FEB": 2, "MAR": 3, "APR": 4, "MAY": 5, "JUN": 6, "JUL": 7, "AUG": 8, "SEP": 9, "OCT": 10, "NOV": 11, "DEC": 12}

var (
	monthFirst = regexp.MustCompile(`^([A-Z]{3})[A-Z]*-?([0-9]{1,4})(?:-[0-9A-Z*])?$`)
	twoNumbers = regexp.MustCompile(`^([0-9]{1,2})-([0-9]{1,4})$`)
)

// dateLike reads a code that a spreadsheet takes for a date: a month and a
// number that becomes the day or the year.
func dateLike(code string) (month, number int, ok bool) {
	text := regroup(code)
	if m := monthFirst.FindStringSubmatch(text); m != nil && monthNumber[m[1]] > 0 {
		number, _ = strconv.Atoi(m[2]) // 4 digits at most
		return monthNumber[m[1]], number, true
	}
	if m := twoNumbers.FindStringSubmatch(text); m != nil {
		month, _ = strconv.Atoi(m[1])
		number, _ = strconv.Atoi(m[2])
		return month, number, month >= 1 && month <= 12
	}
	return 0, 0, false
}

var (
	isoDay     = regexp.MustCompile(`^([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[ T][0-9:.Z]*)?$`)
	numbersDay = regexp.MustCompile(`^([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{2,4})\.?$`)
	dayMonth   = regexp.MustCompile(`^([0-9]{1,2})[-. ]{1,2}([A-Za-z]{3})[a-z]*(?:[-. ]{1,2}([0-9]{2,4}))?$`)
	monthYear  = regexp.MustCompile(`^([A-Za-z]{3})[a-z]*[-. ]{1,2}([0-9]{1,4})$`)
	serial     = regexp.MustCompile(`^[0-9]{5}(?:[.,]0+)?$`)
)

// datesOf gives the days that a text may stand for, a spreadsheet's serial
// number of a day among them. 3/1/2031 may be either.
func datesOf(text string) (days []civil.Date) {
	add := func(year, month, day string) {
		y, m, d := atoi(year), atoi(month), atoi(day)
		if y < 100 {
			y += 2000
		}
		if when, ok := dayOf(y, m, d); ok {
			days = append(days, when)
		}
	}
	if m := isoDay.FindStringSubmatch(text); m != nil {
		add(m[1], m[2], m[3])
	}
	if m := numbersDay.FindStringSubmatch(text); m != nil {
		add(m[3], m[2], m[1])
		add(m[3], m[1], m[2])
	}
	if m := dayMonth.FindStringSubmatch(text); m != nil {
		add(m[3], strconv.Itoa(monthNumber[strings.ToUpper(m[2])]), m[1])
		add(m[1], strconv.Itoa(monthNumber[strings.ToUpper(m[2])]), "1")
	}
	if m := monthYear.FindStringSubmatch(text); m != nil {
		add(m[2], strconv.Itoa(monthNumber[strings.ToUpper(m[1])]), "1")
		add("", strconv.Itoa(monthNumber[strings.ToUpper(m[1])]), m[2])
	}
	if serial.MatchString(text) {
		// Day 1 is 1 January 1900, and 29 February 1900, which never was, is
		// counted: so from March 1900 on it is days since 30 December 1899.
		days = append(days, civil.Of(1899, 12, 30)+civil.Date(atoi(text[:5])))
	}
	return days
}

func dayOf(year, month, day int) (civil.Date, bool) {
	if month < 1 || month > 12 || day < 1 || day > 31 {
		return 0, false
	}
	d := civil.Of(year, time.Month(month), day)
	return d, d.Day() == day
}

// atoi reads digits that a pattern has found; nothing is 0.
func atoi(digits string) int {
	n, _ := strconv.Atoi(digits)
	return n
}
