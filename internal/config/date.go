package config

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// monthDay gives a day of every year, written as "1 March".
func (e entry) monthDay() (civil.MonthDay, bool) {
	value := e.text()
	if value == "" {
		return civil.MonthDay{}, false
	}
	if fields := strings.Fields(value); len(fields) == 2 {
		day, err := strconv.Atoi(fields[0])
		month := monthNamed(fields[1])
		// 2000 is a leap year: 29 February is a day of some years.
		if err == nil && month != 0 && day >= 1 && civil.Of(2000, month, day).Month() == month && day <= 31 {
			return civil.MonthDay{Month: month, Day: day}, true
		}
	}
	e.problem(fmt.Sprintf("%q is no day of the year", clip(value)), "write the day and the month's English name: 1 March")
	return civil.MonthDay{}, false
}

// monthNamed gives a month by its English name or the first three letters.
func monthNamed(name string) time.Month {
	for m := time.January; m <= time.December; m++ {
		if strings.EqualFold(name, m.String()) || strings.EqualFold(name, m.String()[:3]) {
			return m
		}
	}
	return 0
}

func before(a, b civil.MonthDay) bool { return a.In(2000) < b.In(2000) }

// weekdayNames are the days as people write them, the week's first day first.
var weekdayNames = []struct {
	name string
	day  time.Weekday
}{
	{"mon", time.Monday}, {"tue", time.Tuesday}, {"wed", time.Wednesday}, {"thu", time.Thursday},
	{"fri", time.Friday}, {"sat", time.Saturday}, {"sun", time.Sunday},
}
