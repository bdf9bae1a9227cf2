package hindcast

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// thermometer is one file's daily means.
type thermometer struct {
	means []ensemble.Mean
	years map[int][]float64 // of each year from 1 January on, NaN where missing
}

func newThermometer(days []weather.Day) *thermometer {
	t := &thermometer{means: stage.Means(days), years: map[int][]float64{}}
	for _, m := range t.means {
		y := m.Date.Year()
		if t.years[y] == nil {
			t.years[y] = missing(daysOfYear)
		}
		if i := int(m.Date - civil.Of(y, 1, 1)); i < daysOfYear {
			t.years[y][i] = m.MeanC
		}
	}
	return t
}

// daysOfYear is the window in which all is reckoned, from 1 January.
const daysOfYear = 365

func missing(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

// longestHole is how many missing days in a row of a past season are bridged
// before its heat is given up.
const longestHole = stage.LongestHole

// bridged gives a year's means with short holes filled; a longer one, and what
// comes after it, stays missing.
func (t *thermometer) bridged(year int) []float64 { return stage.Bridged(t.of(year)) }

// carried gives a year's means with each short hole filled by the last value
// before it, so that no day depends on a later one.
func (t *thermometer) carried(year int) []float64 { return stage.Carried(t.of(year)) }

func (t *thermometer) of(year int) []float64 {
	if raw, ok := t.years[year]; ok {
		return raw
	}
	return missing(daysOfYear)
}
