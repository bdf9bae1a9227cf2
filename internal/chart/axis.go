package chart

import (
	"time"

	"budcall/internal/civil"
	"budcall/internal/words"
)

// axis is the time axis across the picture: whole months.
type axis struct{ first, last civil.Date }

// axisOf gives the axis that holds everything that is dated.
func axisOf(s Season) axis {
	var a axis
	for _, h := range s.Heat {
		for _, p := range h.Points {
			a.take(p.Date)
		}
	}
	for _, t := range s.Narrowing {
		for _, p := range t.Points {
			a.take(p.Issued, p.P10, p.P50, p.P90)
		}
	}
	for _, c := range s.Calls {
		if c.Days.Len() > 0 {
			a.take(c.Days.First, c.Days.Last)
		}
	}
	for _, m := range s.Reports {
		a.take(m.Date)
	}
	if a.first == 0 {
		a.first, a.last = civil.Of(s.Year, time.January, 1), civil.Of(s.Year, time.December, 31)
	}
	// Not beyond the season's year and its neighbours, whatever was reported.
	a.first = max(a.first, civil.Of(s.Year-1, time.January, 1))
	a.last = max(a.first, min(a.last, civil.Of(s.Year+1, time.December, 31)))
	a.first -= civil.Date(a.first.Day() - 1)
	a.last = civil.Of(a.last.Year(), a.last.Month()+1, 1) - 1
	return a
}

func (a *axis) take(days ...civil.Date) {
	for _, d := range days {
		switch {
		case d == 0:
		case a.first == 0:
			a.first, a.last = d, d
		default:
			a.first, a.last = min(a.first, d), max(a.last, d)
		}
	}
}

// x gives where a day's morning lies.
func (a axis) x(d civil.Date) float64 {
	d = min(max(d, a.first), a.last+1)
	return left + (right-left)*float64(d-a.first)/float64(a.last+1-a.first)
}

// noon gives the middle of a day.
func (a axis) noon(d civil.Date) float64 { return (a.x(d) + a.x(d+1)) / 2 }

// months gives the first day of each month.
func (a axis) months() (firsts []civil.Date) {
	for d := a.first; d <= a.last; d = civil.Of(d.Year(), d.Month()+1, 1) {
		firsts = append(firsts, d)
	}
	return firsts
}

// grid draws the months of a panel, with their names beneath.
func (a axis) grid(c *canvas, cat *words.Catalogue, top, bottom float64) {
	firsts := a.months()
	step := (len(firsts) + 11) / 12
	for i, d := range firsts {
		c.line("grid", a.x(d), top, a.x(d), bottom)
		if i%step == 0 {
			c.text(a.x(d)+3, bottom+13, "small", cat.Date(d))
		}
	}
	c.line("grid", right, top, right, bottom)
	c.line("edge", left, bottom, right, bottom)
}
