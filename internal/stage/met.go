package stage

import (
	"math"

	"budcall/internal/civil"
)

// Running gives the sums from the first day through each, in place.
func Running(daily []float64) []float64 {
	var sum float64
	for i, h := range daily {
		sum += h
		daily[i] = sum
	}
	return daily
}

// YearSums gives a year's heat by the end of each day from 1 January on, from
// daily means in °C; NaN from the first day of the sum that is missing.
func (w Warmth) YearSums(year int, meansC []float64) []float64 {
	return Running(w.Daily(civil.Of(year, 1, 1), meansC))
}

// Met is the greatest ln requirement that is met by the end of a day, counted
// from 1 January as 0: ln of the heat, floored at 1 °C·d, and what the
// requirement has fallen by then. Days beyond the sums are the ends'; without
// any it is NaN.
func (w Warmth) Met(sumCd []float64, day int) float64 {
	if len(sumCd) == 0 {
		return math.NaN()
	}
	day = max(0, min(day, len(sumCd)-1))
	return math.Log(max(1, sumCd[day])) + w.Fallen(day)
}

// Felt is what a dated sight tells of a requirement.
type Felt struct {
	LogHeat  float64 // ln heat needed, in the middle of the days; NaN where temperatures are missing
	NoiseVar float64 // variance of what the days leave open
	LogRate  float64 // ln of how much of the requirement a day covers
	Hardly   bool    // next to no heat by then
}

// leastRate keeps a date on which nothing grew from ruling a heat out: people
// see late. The rate itself is a mean that takes in a day to either side, for
// dates are easily off by one. Both are our assumption.
const leastRate = 1e-4

// hardlyCd is next to no heat, in °C·d.
const hardlyCd = 2

// Feel counts the heat of a plant that reached a stage after one day and by the
// end of a later one, both counted from 1 January as 0.
func (w Warmth) Feel(sumCd []float64, after, by int) Felt {
	lo, hi := w.Met(sumCd, after), w.Met(sumCd, by)
	f := Felt{LogHeat: (lo + hi) / 2, NoiseVar: (hi - lo) * (hi - lo) / 12, Hardly: true}
	rate := (w.Met(sumCd, by+1) - w.Met(sumCd, after-1)) / float64(by-after+2)
	f.LogRate = math.Log(max(leastRate, rate))
	if len(sumCd) > 0 {
		f.Hardly = sumCd[max(0, min(by, len(sumCd)-1))] < hardlyCd
	}
	return f
}
