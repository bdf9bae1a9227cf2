package words

import (
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
)

// calendar is the names of a language's days and months, the order of a date's
// parts, and the mark before the decimals of a number.
type calendar struct {
	weekdays  [7]string  // from Sunday, short
	months    [12]string // short, or the figure
	dayAlone  string     // {day}, where its month follows later
	dayMonth  string     // {day} {month}
	weekday   string     // {weekday} {date}
	dateYear  string     // {date} {year}
	timeOfDay string     // layout of time.Format
	moment    string     // {day} {time}
	decimal   string
}

var englishCalendar = calendar{
	weekdays:  [7]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"},
	months:    [12]string{"Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec"},
	dayAlone:  "{day}",
	dayMonth:  "{day} {month}",
	weekday:   "{weekday} {date}",
	dateYear:  "{date} {year}",
	timeOfDay: "15:04",
	moment:    "{day}, {time}",
	decimal:   ".",
}

// Day gives a day as people write it: "Sat 3 May". No date is "–".
func (c *Catalogue) Day(d civil.Date) string { return c.day(d, true) }

// Date gives a day without its weekday: "1 Mar".
func (c *Catalogue) Date(d civil.Date) string {
	if d.IsZero() {
		return c.Day(d)
	}
	return c.dayMonth(d)
}

// DayYear gives a day with its year: "Sat 3 May 2031".
func (c *Catalogue) DayYear(d civil.Date) string {
	if d.IsZero() {
		return c.Day(d)
	}
	return fill(c.calendar.dateYear, Args{"date": c.Day(d), "year": strconv.Itoa(d.Year())})
}

// Days gives a run of days: "Sat 3 – Wed 7 May", "Wed 30 Apr – Sun 4 May", or
// the day alone where it is only one. An empty run is "–".
func (c *Catalogue) Days(r civil.Range) string {
	switch r.Len() {
	case 0:
		return c.Day(0)
	case 1:
		return c.Day(r.First)
	}
	return c.day(r.First, !sameMonth(r.First, r.Last)) + " – " + c.Day(r.Last)
}

// AnyOf gives a choice of days: "Sat 3 or Sun 4 May". A month is written once,
// after the last of its days. More than four days that follow on each other
// are given as a run.
func (c *Catalogue) AnyOf(days []civil.Date) string {
	n := len(days)
	if n > 4 && int(days[n-1]-days[0]) == n-1 {
		return c.Days(civil.Range{First: days[0], Last: days[n-1]})
	}
	said := make([]string, n)
	for i, d := range days {
		said[i] = c.day(d, i == n-1 || !sameMonth(d, days[i+1]))
	}
	return c.Either(said)
}

// Time gives the time of day of t in t's own zone: "17:00".
func (c *Catalogue) Time(t time.Time) string { return t.Format(c.calendar.timeOfDay) }

// Moment gives a day and time in t's own zone: "Fri 2 May, 17:00".
func (c *Catalogue) Moment(t time.Time) string {
	return fill(c.calendar.moment, Args{"day": c.Day(civil.At(t)), "time": c.Time(t)})
}

// MomentYear is Moment with the year.
func (c *Catalogue) MomentYear(t time.Time) string {
	return fill(c.calendar.moment, Args{"day": c.DayYear(civil.At(t)), "time": c.Time(t)})
}

// day gives a day, its month only where asked for.
func (c *Catalogue) day(d civil.Date, month bool) string {
	if d.IsZero() {
		return "–"
	}
	date := fill(c.calendar.dayAlone, Args{"day": strconv.Itoa(d.Day())})
	if month {
		date = c.dayMonth(d)
	}
	return fill(c.calendar.weekday, Args{"weekday": c.calendar.weekdays[d.Weekday()], "date": date})
}

func (c *Catalogue) dayMonth(d civil.Date) string {
	return fill(c.calendar.dayMonth, Args{"day": strconv.Itoa(d.Day()), "month": c.calendar.months[d.Month()-1]})
}

func sameMonth(a, b civil.Date) bool { return a.Month() == b.Month() && a.Year() == b.Year() }

// List joins what is said with commas and "and".
func (c *Catalogue) List(said []string) string { return c.join(said, ListAnd) }

// Either joins what is said with commas and "or".
func (c *Catalogue) Either(said []string) string { return c.join(said, ListOr) }

func (c *Catalogue) join(said []string, last Key) string {
	if len(said) < 2 {
		return strings.Join(said, "")
	}
	n := len(said) - 1
	return c.Text(last, Args{"before": strings.Join(said[:n], ", "), "last": said[n]})
}
