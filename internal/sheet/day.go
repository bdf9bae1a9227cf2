package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"time"

	"budcall/internal/civil"
)

const isoCure = "write YYYY-MM-DD, such as 2031-05-03"

var (
	isoMoment  = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})[T ](\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?Z?$`)
	threeParts = regexp.MustCompile(`^(\d{1,2})([./-]) ?(\d{1,2})([./-]) ?(\d{4})$`)
	shortYear  = regexp.MustCompile(`^\d{1,2}[./-] ?\d{1,2}[./-] ?\d{2}$`)
	bareNumber = regexp.MustCompile(`^\d{5}([.,]\d+)?$`)
)

// day reads a day: YYYY-MM-DD, a workbook's own, or another way of writing it
// that can be read one way only. No separator proves the order of day and
// month, so 03/04/2031 is refused, and 25/04/2031 is not.
func day(c cell, _ marks) (string, *fault) {
	switch c.kind {
	case dayCell:
		return c.day.String(), nil
	case timeCell:
		return "", wrong(TimeOfDay, isoCure, "the cell holds %s with a time of day", c.day)
	case numberCell:
		return "", serial(c.text)
	}
	value := restored(trimmed(c.text))
	if d, err := civil.Parse(value); err == nil {
		return d.String(), nil
	}
	if m := isoMoment.FindStringSubmatch(value); m != nil {
		return moment(m)
	}
	if m := threeParts.FindStringSubmatch(value); m != nil && m[2] == m[4] {
		return eitherOrder(value, m[1], m[3], m[5])
	}
	switch {
	case shortYear.MatchString(value):
		return "", wrong(BadDay, isoCure, "%q has a year of two digits", clip(value))
	case bareNumber.MatchString(value):
		return "", serial(value)
	}
	return "", wrong(BadDay, isoCure, "%q is no day", clip(value))
}

// moment takes the day of a midnight, which is what databases make of days.
func moment(m []string) (string, *fault) {
	d, err := civil.Parse(m[1])
	if err != nil {
		return "", wrong(BadDay, isoCure, "%q is no day", m[1])
	}
	for _, part := range m[2:] {
		if n, _ := strconv.Atoi(part); n != 0 {
			return "", wrong(TimeOfDay, isoCure, "%q holds a time of day", m[0])
		}
	}
	return d.String(), nil
}

// eitherOrder reads two numbers and a year, where only one order gives a day.
func eitherOrder(value, first, second, year string) (string, *fault) {
	a, _ := strconv.Atoi(first)
	b, _ := strconv.Atoi(second)
	y, _ := strconv.Atoi(year)
	dayFirst, ok1 := exact(y, b, a)
	monthFirst, ok2 := exact(y, a, b)
	switch {
	case ok1 && ok2 && dayFirst != monthFirst:
		return "", wrong(BadDay, isoCure, "%q may be %s or %s", value, spelled(dayFirst), spelled(monthFirst))
	case ok1:
		return dayFirst.String(), nil
	case ok2:
		return monthFirst.String(), nil
	}
	return "", wrong(BadDay, isoCure, "%q is no day", value)
}

func exact(year, month, dayOfMonth int) (civil.Date, bool) {
	d := civil.Of(year, time.Month(month), dayOfMonth)
	return d, year >= 1 && month >= 1 && month <= 12 && d.Month() == time.Month(month) && d.Day() == dayOfMonth
}

func spelled(d civil.Date) string { return fmt.Sprintf("%d %s %d", d.Day(), d.Month(), d.Year()) }

// serial refuses a number where a day belongs, and says which day a
// spreadsheet would show for it.
func serial(text string) *fault {
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || n < 61 || n > 100000 {
		return wrong(SerialDay, isoCure, "%q is a number, not a day", clip(text))
	}
	return wrong(SerialDay, isoCure+", or give the cell a date format",
		"%s is a number; as a spreadsheet counts days it is %s, or %s where it counts from 1904", clip(text), serialDay(n, false), serialDay(n, true))
}

// serialDay gives the day that a spreadsheet shows for a number: day 61 is
// 1 March 1900 (before it, the count holds a 29 February that never was), or,
// where days are counted from 1904, day 0 is 1 January 1904 (ECMA-376 part 1,
// 18.17.4.1).
func serialDay(n float64, from1904 bool) civil.Date {
	if from1904 {
		return civil.Of(1904, time.January, 1) + civil.Date(n)
	}
	return civil.Of(1899, time.December, 30) + civil.Date(n)
}
