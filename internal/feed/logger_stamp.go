package feed

import (
	"fmt"
	"strings"

	"budcall/internal/civil"
)

// stamp is a date and time as a logger writes it: three numbers whose order
// may not be known, and the seconds of the day.
type stamp struct {
	number  [3]int16
	yearAt  int8 // which number has four digits; -1 for none
	secondS int32
	offsetS int32 // where the stamp itself says it
	hasZone bool
}

// dateOrder is the order of a date's numbers.
type dateOrder int8

// The orders; the zero order is none.
const (
	yearMonthDay dateOrder = iota + 1
	monthDayYear
	dayMonthYear
)

var dateOrders = []dateOrder{yearMonthDay, monthDayYear, dayMonthYear}

func (o dateOrder) String() string {
	return map[dateOrder]string{yearMonthDay: "YY.MM.DD", monthDayYear: "MM.DD.YY", dayMonthYear: "DD.MM.YY"}[o]
}

// String gives the numbers as they stand.
func (s stamp) String() string {
	return fmt.Sprintf("%02d.%02d.%02d", s.number[0], s.number[1], s.number[2])
}

// date makes a date of the numbers in an order. Two digits are a year from
// 1969 to 2068.
func (s stamp) date(o dateOrder) (civil.Date, bool) {
	n := s.number
	var yearAt int8
	var year, month, day int
	switch o {
	case yearMonthDay:
		yearAt, year, month, day = 0, int(n[0]), int(n[1]), int(n[2])
	case monthDayYear:
		yearAt, year, month, day = 2, int(n[2]), int(n[0]), int(n[1])
	case dayMonthYear:
		yearAt, year, month, day = 2, int(n[2]), int(n[1]), int(n[0])
	}
	if s.yearAt >= 0 && s.yearAt != yearAt {
		return 0, false
	}
	if s.yearAt < 0 {
		year += 2000
		if year >= 2069 {
			year -= 100
		}
	}
	return dateOf(year, month, day)
}

// isDate reports whether the numbers are a date in any order.
func (s stamp) isDate() bool {
	for _, o := range dateOrders {
		if _, ok := s.date(o); ok {
			return true
		}
	}
	return false
}

// halfDays are the words for the halves of a day in the languages that
// loggers' programs are found in; false is before noon.
var halfDays = map[string]bool{
	"am": false, "a.m.": false, "dop.": false, "fm": false, "ap.": false, "vorm.": false,
	"pm": true, "p.m.": true, "odp.": true, "em": true, "ip.": true, "nachm.": true,
}

// readStamp reads a date, a time, and perhaps a half of the day or an offset.
func readStamp(text string) (s stamp, ok bool) {
	date, rest, _ := strings.Cut(strings.Replace(strings.TrimSpace(text), "T", " ", 1), " ")
	if !s.readDate(date) {
		return s, false
	}
	clock, half, _ := strings.Cut(strings.TrimSpace(rest), " ")
	if clock, s.hasZone = cutZone(clock, &s.offsetS); clock == "" {
		return s, false
	}
	hour, minute, second, ok := readClock(clock)
	if !ok {
		return s, false
	}
	if half = strings.ToLower(strings.TrimSpace(half)); half != "" {
		afternoon, known := halfDays[half]
		if !known || hour < 1 || hour > 12 {
			return s, false
		}
		if hour %= 12; afternoon {
			hour += 12
		}
	}
	s.secondS = int32(hour*3600 + minute*60 + second)
	return s, true
}

// cutZone cuts an ISO 8601 zone off a time.
func cutZone(clock string, offsetS *int32) (rest string, has bool) {
	if rest, has = strings.CutSuffix(clock, "Z"); has {
		return rest, true
	}
	if i := strings.LastIndexAny(clock, "+-"); i > 0 {
		if zone, ok := FixedOffset("UTC" + clock[i:]); ok {
			_, seconds := civil.Date(1).In(zone, 0, 0).Zone()
			*offsetS = int32(seconds)
			return clock[:i], true
		}
	}
	return clock, false
}

// readDate reads three numbers with the same mark between them, or YYYYMMDD.
func (s *stamp) readDate(text string) bool {
	s.yearAt = -1
	if len(text) == 8 && !strings.ContainsAny(text, "./-") {
		text = text[:4] + "-" + text[4:6] + "-" + text[6:]
	}
	i := strings.IndexAny(text, "./-")
	if i < 0 {
		return false
	}
	parts := strings.Split(strings.TrimSuffix(text, text[i:i+1]), text[i:i+1])
	if len(parts) != 3 {
		return false
	}
	for k, part := range parts {
		n, ok := wholeDigits(part)
		switch {
		case !ok || len(part) == 3 || len(part) > 4:
			return false
		case len(part) == 4 && (k == 1 || s.yearAt >= 0):
			return false
		case len(part) == 4:
			s.yearAt = int8(k)
		}
		s.number[k] = int16(n)
	}
	return true
}

// readClock reads hh:mm, hh:mm:ss or hh:mm:ss.sss.
func readClock(text string) (hour, minute, second int, ok bool) {
	parts := strings.Split(text, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, 0, 0, false
	}
	var n [3]int
	for i, part := range parts {
		if i == 2 {
			part, _, _ = strings.Cut(part, ".")
		}
		if n[i], ok = wholeDigits(part); !ok || len(part) > 2 {
			return 0, 0, 0, false
		}
	}
	return n[0], n[1], n[2], n[0] < 24 && n[1] < 60 && n[2] < 60
}
