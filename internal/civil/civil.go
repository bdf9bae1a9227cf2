// Package civil is the calendar day: a date without a time, a zone or a clock.
//
// The whole program reckons in days. A Date is a count of days, so arithmetic
// is ordinary arithmetic (tomorrow is d+1, a difference is b-a) and a Date is
// comparable, small and usable as a map key. The zero Date means "no date".
package civil

import (
	"fmt"
	"time"
)

// Date is a day of the proleptic Gregorian calendar, counted so that
// 1 January of year 1 is 1. The zero value is no date.
type Date int32

// unixEpoch is the Date of 1 January 1970.
const unixEpoch = Date(719163)

// Of gives the date of a year, month and day; days and months outside their
// usual range carry over as in time.Date (32 April is 2 May).
func Of(year int, month time.Month, day int) Date {
	t := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	return unixEpoch + Date(t.Unix()/86400) - boolDay(t.Unix()%86400 < 0)
}

func boolDay(b bool) Date {
	if b {
		return 1
	}
	return 0
}

// At gives the calendar day on which t falls in t's own location.
func At(t time.Time) Date {
	y, m, d := t.Date()
	return Of(y, m, d)
}

// Parse reads an ISO 8601 calendar date, YYYY-MM-DD, and refuses every other
// form and every day that doesn't exist.
func Parse(s string) (Date, error) {
	t, err := time.Parse("2006-01-02", s)
	if err != nil || t.Year() < 1 {
		return 0, fmt.Errorf("%q is no date: write YYYY-MM-DD, for example 2031-05-03", s)
	}
	return At(t), nil
}

// MustParse is Parse for constants in tests and tables; it panics.
func MustParse(s string) Date {
	d, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return d
}

// IsZero reports whether d is no date.
func (d Date) IsZero() bool { return d == 0 }

// Midnight gives the start of the day in UTC, the form that calendars and
// formatters of the standard library take.
func (d Date) Midnight() time.Time {
	return time.Unix(int64(d-unixEpoch)*86400, 0).UTC()
}

// In gives the moment of the wall-clock time hour:minute of the day in loc.
// A time that a clock change skips comes out moved on by the change, as in
// time.Date.
func (d Date) In(loc *time.Location, hour, minute int) time.Time {
	y, m, day := d.Midnight().Date()
	return time.Date(y, m, day, hour, minute, 0, 0, loc)
}

// Year gives the year of the day.
func (d Date) Year() int { return d.Midnight().Year() }

// Month gives the month of the day.
func (d Date) Month() time.Month { return d.Midnight().Month() }

// Day gives the day of the month, from 1.
func (d Date) Day() int { return d.Midnight().Day() }

// YearDay gives the day of the year, from 1.
func (d Date) YearDay() int { return d.Midnight().YearDay() }

// Weekday gives the day of the week.
func (d Date) Weekday() time.Weekday { return d.Midnight().Weekday() }

// String gives the ISO form, or "-" for no date.
func (d Date) String() string {
	if d == 0 {
		return "-"
	}
	return d.Midnight().Format("2006-01-02")
}

// MarshalText writes the ISO form; no date is empty.
func (d Date) MarshalText() ([]byte, error) {
	if d == 0 {
		return nil, nil
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads the ISO form; empty is no date.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = 0
		return nil
	}
	v, err := Parse(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}
