package ensemble

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"budcall/internal/civil"
)

// PastDate is a day on which something happened in an earlier year.
type PastDate struct {
	Unit   int     // whose date it is: a site, a tree
	Day    float64 // days since 1 January of its year
	SoFarC float64 // mean temperature of its year up to the day on which a forecast is issued; NaN where it isn't known
}

// LeastDates is how many past dates a unit needs to have a mean date.
const LeastDates = 3

// leastSpreadDays is the least spread of a baseline, in days: nobody sees a date to
// less than a day.
const leastSpreadDays = 0.5

// MeanDates is the mean date of each unit and the spread about it: the
// baseline that a calendar gives.
type MeanDates struct {
	Mean map[int]float64 // days since 1 January, by unit
	N    map[int]float64 // past dates, by unit
	SD   float64         // days; of one year's date about its unit's mean, pooled over units
}

// NewMeanDates averages past dates.
func NewMeanDates(past []PastDate) MeanDates {
	m := MeanDates{Mean: map[int]float64{}, N: map[int]float64{}}
	for _, p := range past {
		m.Mean[p.Unit] += p.Day
		m.N[p.Unit]++
	}
	for u := range m.Mean {
		m.Mean[u] /= m.N[u]
	}
	var square float64
	for _, p := range past {
		square += sq(p.Day - m.Mean[p.Unit])
	}
	m.SD = math.Sqrt(square / float64(max(1, len(past)-len(m.Mean))))
	return m
}

// Usable reports whether a unit has a mean date.
func (m MeanDates) Usable(unit int) bool { return m.N[unit] >= LeastDates }

// Of is the Gaussian of a unit's date, with what the mean itself is off by.
func (m MeanDates) Of(unit int) DayNormal {
	return DayNormal{m.Mean[unit], max(leastSpreadDays, m.SD) * math.Sqrt(1+1/m.N[unit])}
}

// Regress forecasts a unit's date from the mean temperature so far: one slope
// for all units, each about its own means, fitted by least squares. It is
// false where temperatures or dates are missing; the mean date stands then.
func Regress(past []PastDate, unit int, soFarC float64) (DayNormal, bool) {
	temp, date, n := map[int]float64{}, map[int]float64{}, map[int]float64{}
	for _, p := range past {
		if !math.IsNaN(p.SoFarC) {
			temp[p.Unit] += p.SoFarC
			date[p.Unit] += p.Day
			n[p.Unit]++
		}
	}
	var x, y []float64
	for _, p := range past {
		if !math.IsNaN(p.SoFarC) {
			x, y = append(x, p.SoFarC-temp[p.Unit]/n[p.Unit]), append(y, p.Day-date[p.Unit]/n[p.Unit])
		}
	}
	now, units := soFarC-temp[unit]/n[unit], len(n)
	_, slope := stat.LinearRegression(x, y, nil, true)
	if math.IsNaN(now) || n[unit] < LeastDates || math.IsNaN(slope) || len(x) <= units+1 {
		return DayNormal{}, false
	}
	var square, spread float64
	for i := range x {
		square, spread = square+sq(y[i]-slope*x[i]), spread+sq(x[i])
	}
	sd := math.Sqrt(square / float64(len(x)-units-1))
	return DayNormal{date[unit]/n[unit] + slope*now, max(leastSpreadDays, sd) * math.Sqrt(1+1/n[unit]+sq(now)/spread)}, true
}

// leastSoFar is the share of the days that a mean temperature so far needs.
const leastSoFar = 0.8

// SoFar is the mean temperature of the days that are given, NaN where more
// than a fifth of them are missing (NaN) or there are none.
func SoFar(meansC []float64) float64 {
	var sum, n float64
	for _, c := range meansC {
		if !math.IsNaN(c) {
			sum, n = sum+c, n+1
		}
	}
	if n < leastSoFar*float64(len(meansC)) {
		return math.NaN()
	}
	return sum / n
}

// DayNormal is a Gaussian date.
type DayNormal struct {
	MeanDay float64 // days since 1 January
	SDDays  float64
}

// By is the chance by the end of each day from 1 January on, so many days; a
// date's day counts whole.
func (g DayNormal) By(days int) []float64 {
	by := make([]float64, days)
	for i := range by {
		by[i] = distuv.UnitNormal.CDF((float64(i) + 0.5 - g.MeanDay) / g.SDDays)
	}
	return by
}

// In is the distribution of the date in a year, to its end.
func (g DayNormal) In(year int) Days {
	first := civil.Of(year, 1, 1)
	return Days{From: first, By: g.By(int(civil.Of(year+1, 1, 1) - first))}
}

func sq(x float64) float64 { return x * x }
