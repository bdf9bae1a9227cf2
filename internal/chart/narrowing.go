package chart

import (
	"budcall/internal/civil"
	"budcall/internal/words"
)

// narrowHeight is the height of the panel of forecasts.
const narrowHeight = 240

// twoYears is more days than any season's forecasts are issued over.
const twoYears = civil.Date(2 * 366)

// narrowing draws the forecasts: across the day that was forecast, downwards
// the day of issue, so that each band runs down to the day it came out at.
func (f frame) narrowing(tracks []Track, y float64) float64 {
	y = f.head(words.ChartForecast, y)
	f.text(right, y-10, "small end", f.cat.Text(words.ChartReading))
	issued := issues(tracks)
	if issued.Len() < 2 {
		return f.nothing(y)
	}
	var labels []labelled
	for _, t := range tracks {
		if p, ok := newest(t); ok {
			labels = append(labels, labelled{f.noon(p.P50), f.cat.Text(words.ChartRange, words.Args{
				"stage": f.stage(t.Stage, t.Name), "p10": f.cat.Date(p.P10), "p50": f.cat.Date(p.P50), "p90": f.cat.Date(p.P90),
			})})
		}
	}
	top := f.above(labels, y)
	bottom := top + narrowHeight
	down := func(d civil.Date) float64 {
		return top + narrowHeight*float64(d-issued.First)/float64(issued.Last-issued.First)
	}
	f.axis.grid(f.canvas, f.cat, top, bottom)
	f.text(20, top+12, "small", f.cat.Text(words.ChartIssued))
	for d := issued.First; d <= issued.Last; d = civil.Of(d.Year(), d.Month()+1, 1) {
		if d.Day() == 1 || d == issued.First && d.Day() < 20 {
			f.line("grid", left, down(d), right, down(d))
			f.text(left-8, down(d)+4, "small end", f.cat.Date(d))
		}
	}
	f.line("same", f.noon(issued.First), top, f.noon(issued.Last), bottom)
	for _, t := range tracks {
		for _, run := range runs(t, f.axis.last) {
			f.band(run, down)
		}
	}
	f.text(f.noon(issued.First)+8, bottom-6, "small", f.cat.Text(words.ChartSame))
	return bottom + 26
}

// band draws an unbroken run of forecasts.
func (f frame) band(run []TrackPoint, down func(civil.Date) float64) {
	var edge, median []point
	for _, p := range run {
		edge = append(edge, point{f.noon(p.P10), down(p.Issued)})
		if p.P50 != 0 {
			median = append(median, point{f.noon(p.P50), down(p.Issued)})
		}
	}
	for i := len(run) - 1; i >= 0; i-- {
		edge = append(edge, point{f.noon(run[i].P90), down(run[i].Issued)})
	}
	f.path("band", edge, true)
	f.path("median", median, false)
}

// runs parts a track where a forecast says nothing at all. An end beyond the
// horizon is drawn to the end of the axis.
func runs(t Track, last civil.Date) (out [][]TrackPoint) {
	var run []TrackPoint
	flush := func() {
		if len(run) > 0 {
			out = append(out, run)
		}
		run = nil
	}
	for _, p := range t.Points {
		if p.P10 == 0 || p.Issued == 0 {
			flush()
			continue
		}
		if p.P90 == 0 {
			p.P90 = last
		}
		run = append(run, p)
	}
	flush()
	return out
}

// newest gives the last forecast of a track that has a median.
func newest(t Track) (p TrackPoint, ok bool) {
	for i := len(t.Points) - 1; i >= 0; i-- {
		if t.Points[i].P50 != 0 {
			return t.Points[i], true
		}
	}
	return p, false
}

// issues gives the first and the last day of issue.
func issues(tracks []Track) (r civil.Range) {
	a := axis{}
	for _, t := range tracks {
		for _, p := range t.Points {
			a.take(p.Issued)
		}
	}
	// A season is one year: what was issued elsewhere isn't of it.
	if a.last-a.first > twoYears {
		return civil.Range{}
	}
	return civil.Range{First: a.first, Last: a.last}
}
