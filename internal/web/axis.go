package web

import (
	"strconv"

	"budcall/internal/civil"
	"budcall/internal/words"
)

// axis is the time axis that all bars of the board share.
type axis struct{ first, last civil.Date }

// axisOf gives the axis of a board: whole months from the first to the last
// day that anything is shown on, today among them.
func axisOf(b Board) axis {
	today := civil.At(b.Now)
	a := axis{first: today, last: today}
	for _, s := range b.Sites {
		for _, st := range s.Stages {
			a.take(st.P10, st.P50, st.P90, st.Seen)
		}
		for _, c := range s.Calls {
			if c.Days.Len() > 0 {
				a.take(c.Days.First, c.Days.Last)
			}
		}
	}
	a.first -= civil.Date(a.first.Day() - 1)
	a.last = civil.Of(a.last.Year(), a.last.Month()+1, 1) - 1
	return a
}

func (a *axis) take(days ...civil.Date) {
	for _, d := range days {
		if d != 0 {
			a.first, a.last = min(a.first, d), max(a.last, d)
		}
	}
}

// at gives where a day's morning lies, as a percentage of the axis.
func (a axis) at(d civil.Date) float64 {
	d = min(max(d, a.first), a.last+1)
	return 100 * float64(d-a.first) / float64(a.last+1-a.first)
}

// bar is a stretch of the axis in per cent, as SVG takes it.
type bar struct{ X, Width string }

// span gives the bar from one day through another.
func (a axis) span(first, last civil.Date) bar {
	x := a.at(first)
	return bar{X: percent(x), Width: percent(a.at(last+1) - x)}
}

// mid gives the middle of a day.
func (a axis) mid(d civil.Date) string { return percent((a.at(d) + a.at(d+1)) / 2) }

func percent(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) + "%" }

// month is a month written on the axis.
type month struct{ X, Name string }

// months gives the months of the axis. Where there are many every second or
// third one is named, so that the names fit a phone.
func (a axis) months(c *words.Catalogue) []month {
	var firsts []civil.Date
	for d := a.first; d <= a.last; d = civil.Of(d.Year(), d.Month()+1, 1) {
		firsts = append(firsts, d)
	}
	step := (len(firsts) + 5) / 6
	out := make([]month, len(firsts))
	for i, d := range firsts {
		out[i].X = percent(a.at(d))
		if i%step == 0 {
			out[i].Name = c.Date(d)
		}
	}
	return out
}
