package chart

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/hindcast"
	"budcall/internal/words"
)

// casesHeight is the height of a small panel of cases.
const casesHeight = 95

// against draws for each lead the medians against what came, days of the year
// both, all panels to one scale.
func (p scorePicture) against(r hindcast.Result, y float64) float64 {
	points := map[int][]point{}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range r.Cases {
		forecast, observed := forecastOf(c)
		if c.Gone || math.IsNaN(forecast) || math.IsInf(forecast, 0) {
			continue
		}
		points[c.Lead] = append(points[c.Lead], point{observed, forecast})
		lo, hi = math.Min(lo, math.Min(observed, forecast)), math.Max(hi, math.Max(observed, forecast))
	}
	if lo > hi {
		p.text(scoreLeft, y+14, "small", "no forecast to show")
		return y + 20
	}
	lo, hi = 5*math.Floor((lo-2)/5), 5*math.Ceil((hi+2)/5)
	end := y
	for i, l := range r.Leads {
		x, top, wide := cell(i, y, casesHeight)
		p.text(x, top-5, "small", fmt.Sprintf("%d days ahead", l.Lead))
		across := func(v float64) float64 { return x + wide*(v-lo)/(hi-lo) }
		up := func(v float64) float64 { return top + casesHeight*(hi-v)/(hi-lo) }
		for _, d := range monthsWithin(lo, hi) {
			p.line("grid", across(d), top, across(d), top+casesHeight)
			p.line("grid", x, up(d), x+wide, up(d))
		}
		p.text(x, top+casesHeight+13, "small", dayName(lo))
		p.text(x+wide, top+casesHeight+13, "small end", dayName(hi))
		if i%perRow == 0 {
			p.text(x-4, top+casesHeight, "small end", dayName(lo))
			p.text(x-4, top+9, "small end", dayName(hi))
		}
		p.line("same", x, top+casesHeight, x+wide, top)
		for _, q := range points[l.Lead] {
			p.add(`<circle class="case" cx="%s" cy="%s" r="2"/>`, px(across(q.x)), px(up(q.y)))
		}
		p.add(`<rect class="frame" x="%s" y="%s" width="%s" height="%s"/>`, px(x), px(top), px(wide), px(casesHeight))
		end = top + casesHeight + 18
	}
	return end
}

// forecastOf gives the median and the observed day, counted from 1 January.
func forecastOf(c hindcast.Case) (forecast, observed float64) {
	first := civil.Of(c.Observed.Year(), 1, 1)
	return float64(c.Forecast.From-first) + c.Forecast.DaysTo(0.5), float64(c.Observed - first)
}

// monthsWithin gives the first days of months within a span of days of a year,
// if they are few enough to be told apart.
func monthsWithin(lo, hi float64) (days []float64) {
	const mostMonths = 6
	first := civil.Of(2031, 1, 1)
	for m := time.January; m <= time.December; m++ {
		if d := float64(civil.Of(2031, m, 1) - first); d > lo && d < hi {
			days = append(days, d)
		}
	}
	if len(days) > mostMonths {
		return nil
	}
	return days
}

// dayName is a day of a year that is no leap year, counted from 0.
func dayName(d float64) string {
	return words.For("en").Date(civil.Of(2031, 1, 1) + civil.Date(d))
}
