package hindcast

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// calendar is the mean date of each unit and its spread, from other years.
type calendar struct {
	mean map[int]float64 // days since 1 January, by unit
	n    map[int]float64
	sd   float64 // of one year's date about its unit's mean, pooled over units
}

// fewestYears is how many other years a unit needs to have a mean date.
const fewestYears = 3

// leastSD is the least spread of a baseline, in days: nobody sees a date to
// less than a day.
const leastSD = 0.5

func newCalendar(train []sight) calendar {
	c := calendar{mean: map[int]float64{}, n: map[int]float64{}}
	for _, s := range train {
		c.mean[s.unit] += float64(s.day)
		c.n[s.unit]++
	}
	for u := range c.mean {
		c.mean[u] /= c.n[u]
	}
	var square float64
	for _, s := range train {
		square += sq(float64(s.day) - c.mean[s.unit])
	}
	c.sd = math.Sqrt(square / float64(max(1, len(train)-len(c.mean))))
	return c
}

// usable reports whether a unit has a mean date.
func (c calendar) usable(unit int) bool { return c.n[unit] >= fewestYears }

// forecast is the Gaussian of the unit's dates, with what the mean itself is
// off by.
func (c calendar) forecast(unit int) []float64 {
	return gaussian(c.mean[unit], max(leastSD, c.sd)*math.Sqrt(1+1/c.n[unit]))
}

// gaussian is the chance by the end of each day; a date's day counts whole.
func gaussian(mean, sd float64) []float64 {
	by := make([]float64, daysOfYear)
	for i := range by {
		by[i] = distuv.UnitNormal.CDF((float64(i) + 0.5 - mean) / sd)
	}
	return by
}

// regression forecasts the date from the mean temperature from 1 January to the
// day before the issue: one slope for all units, each about its own means. It
// is the mean date where temperatures are missing.
func (s *season) regression(o sight, issued int) []float64 {
	temp, date, n := map[int]float64{}, map[int]float64{}, map[int]float64{}
	soFar := make([]float64, len(s.others))
	for i, q := range s.others {
		if soFar[i] = s.h.meanSoFar(q, issued); !math.IsNaN(soFar[i]) {
			temp[q.unit] += soFar[i]
			date[q.unit] += float64(q.day)
			n[q.unit]++
		}
	}
	var x, y []float64
	for i, q := range s.others {
		if !math.IsNaN(soFar[i]) {
			x, y = append(x, soFar[i]-temp[q.unit]/n[q.unit]), append(y, float64(q.day)-date[q.unit]/n[q.unit])
		}
	}
	now, units := s.h.meanSoFar(o, issued)-temp[o.unit]/n[o.unit], len(n)
	_, slope := stat.LinearRegression(x, y, nil, true)
	if math.IsNaN(now) || n[o.unit] < fewestYears || math.IsNaN(slope) || len(x) <= units+1 {
		return s.calendar.forecast(o.unit)
	}
	var square, spread float64
	for i := range x {
		square, spread = square+sq(y[i]-slope*x[i]), spread+sq(x[i])
	}
	sd := math.Sqrt(square / float64(len(x)-units-1))
	return gaussian(date[o.unit]/n[o.unit]+slope*now, max(leastSD, sd)*math.Sqrt(1+1/n[o.unit]+sq(now)/spread))
}

// leastDays is the share of the days that a mean temperature so far needs.
const leastDays = 0.8

// meanSoFar is the mean temperature from 1 January up to the day before one,
// NaN where too much is missing.
func (h *hindcast) meanSoFar(s sight, issued int) float64 {
	t, ok := h.thermometers[s.file].years[s.year]
	if !ok {
		return math.NaN()
	}
	var sum, n float64
	for _, c := range t[:issued] {
		if !math.IsNaN(c) {
			sum, n = sum+c, n+1
		}
	}
	if n < leastDays*float64(issued) {
		return math.NaN()
	}
	return sum / n
}

func sq(x float64) float64 { return x * x }
