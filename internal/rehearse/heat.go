package rehearse

import (
	"fmt"
	"math"
	"slices"
)

// TrueHeat is what the trees' development follows.
type TrueHeat string

// The heats that the truth can follow.
const (
	OfProfile TrueHeat = "profile"    // the profile's own: max(0, T − base)
	DayLength TrueHeat = "day-length" // max(0, T − 2)·(hours of light / 12)
	Logistic  TrueHeat = "logistic"   // 10 / (1 + exp(−(T − 10)/2.5)), our assumption
)

// TrueHeats lists every heat that the truth can follow.
var TrueHeats = []TrueHeat{OfProfile, DayLength, Logistic}

// daily gives the heat of a day (0: 1 January) with mean t.
func (h TrueHeat) daily(st Stage, latitudeDeg float64, day int, t float64) float64 {
	switch h {
	case DayLength:
		return max(0, t-2) * lightHours(latitudeDeg, day) / 12
	case Logistic:
		return 10 / (1 + math.Exp(-(t-10)/2.5))
	}
	return max(0, t-st.BaseC)
}

// lightHours gives the hours between sunrise and sunset of a flat horizon,
// 24/π·acos(−tan φ tan δ), with the declination δ of Cooper 1969 (Solar Energy
// 12:333-346): 23.45° sin(2π(284+n)/365), n the day of the year from 1.
func lightHours(latitudeDeg float64, day int) float64 {
	decl := 23.45 * math.Pi / 180 * math.Sin(2*math.Pi*float64(284+day+1)/365)
	x := -math.Tan(latitudeDeg*math.Pi/180) * math.Tan(decl)
	return 24 / math.Pi * math.Acos(min(1, max(-1, x)))
}

// sums gives the heat gathered by the end of each day from the stage's start.
func (h TrueHeat) sums(st Stage, latitudeDeg float64, year int, temps []float64) []float64 {
	out := make([]float64, len(temps))
	sum := 0.0
	for d := st.Start.In(year).YearDay() - 1; d < len(temps); d++ {
		sum += h.daily(st, latitudeDeg, d, temps[d])
		out[d] = sum
	}
	return out
}

// need is what half of the trees need of the true heat, and its log SD.
type need struct {
	median, logSD float64
}

// calibrate puts a stage's need into terms of another heat. With M the median
// over the years of the day on which the profile's median is reached, the new
// median lies half way (in logs) between the least and the most for which its
// own median day is M: the medians over the years of the heat at the ends of
// the days M−1 and M. The log SD is scaled by the ratio of the two heats' mean
// log growth over the ten days around M.
func (h TrueHeat) calibrate(st Stage, latitudeDeg float64, years map[int][]float64) (need, error) {
	if h == OfProfile {
		return need{st.MedianCd, st.LogSD}, nil
	}
	var days []int
	var own, other [][]float64
	for _, year := range sortedYears(years) {
		sums := OfProfile.sums(st, latitudeDeg, year, years[year])
		d := firstReached(sums, st.MedianCd)
		if d < 0 {
			d = len(sums) // later than any
		}
		days = append(days, d)
		own = append(own, sums)
		other = append(other, h.sums(st, latitudeDeg, year, years[year]))
	}
	slices.Sort(days)
	m := days[(len(days)-1)/2]
	const around = 5
	if m-around < 0 || m+around >= len(own[0]) {
		return need{}, fmt.Errorf("stage %02d is not reached by 31 October in the median year, so another heat can't be set by it: leave the station out or rehearse with the profile's heat", st.Code)
	}
	growth := func(of [][]float64) float64 {
		return math.Log(medianAt(of, m+around)+1) - math.Log(medianAt(of, m-around)+1)
	}
	low, high := medianAt(other, m-1), medianAt(other, m)
	return need{
		median: math.Sqrt(max(low, 0.5*high) * high),
		logSD:  st.LogSD * growth(other) / growth(own),
	}, nil
}

// medianAt gives the upper median over years of the sums at a day.
func medianAt(years [][]float64, day int) float64 {
	var at []float64
	for _, sums := range years {
		at = append(at, sums[day])
	}
	slices.Sort(at)
	// The upper middle: as many years have gathered at least this much by the
	// day as it takes for the lower median of the days to be no later.
	return at[len(at)/2]
}

// firstReached gives the first day on which sums are at least want; -1: never.
func firstReached(sums []float64, want float64) int {
	for d, s := range sums {
		if s >= want {
			return d
		}
	}
	return -1
}

func sortedYears(years map[int][]float64) []int {
	var out []int
	for y := range years {
		out = append(out, y)
	}
	slices.Sort(out)
	return out
}
