package civil

import "time"

// Range is a run of days, both ends included. The zero Range is empty.
type Range struct {
	First Date `json:"first,omitempty"`
	Last  Date `json:"last,omitempty"`
}

// Len is the number of days in the range; 0 when it is empty.
func (r Range) Len() int {
	if r.First == 0 || r.Last < r.First {
		return 0
	}
	return int(r.Last-r.First) + 1
}

// Has reports whether day is in the range.
func (r Range) Has(day Date) bool {
	return r.Len() > 0 && r.First <= day && day <= r.Last
}

// String gives both ends.
func (r Range) String() string { return r.First.String() + "–" + r.Last.String() }

// MonthDay is a day of every year, such as 1 March. 29 February stands for
// 1 March in years that lack it.
type MonthDay struct {
	Month time.Month
	Day   int
}

// In gives the day in a year.
func (m MonthDay) In(year int) Date { return Of(year, m.Month, m.Day) }
