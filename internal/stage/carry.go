package stage

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// fewestCarried is how many past years a requirement needs to be carried over.
const fewestCarried = 5

// Carry gives what stages need in another counting, by what that has come to in
// a place's past years on the dates on which their own heat reached what they
// need. Of each year with D(q) the date of the own heat's quantile q,
//
//	median = exp mean ln H'(D(1/2)),  spread² = mean u² + var ln H'(D(1/2))
//
// where u is half the difference of ln H' between one spread above and one
// below the median: what the plants differ by, and what the two countings
// disagree by from year to year. It is false where fewer than 5 years tell, or
// the other counting has next to no heat by then.
func Carry(stages []Stage, to Warmth, means YearMeans) ([]Requirement, bool) {
	at := make([][]float64, len(stages))
	spread := make([]float64, len(stages))
	for _, year := range means.Years() {
		filled := Bridged(means[year])
		sum := to.YearSums(year, filled)
		for i, s := range stages {
			own := s.Warmth().YearSums(year, filled)
			var met [3]float64
			ok := true
			for k, sds := range []float64{-1, 0, 1} {
				day, share, found := reachedAt(own, s.MedianCd*math.Exp(sds*s.LogSD))
				ok = ok && found && sum[day] >= hardlyCd
				if ok {
					met[k] = to.metWithin(sum, day, share)
				}
			}
			if ok && !math.IsNaN(met[0]+met[1]+met[2]) {
				half := (met[2] - met[0]) / 2
				at[i], spread[i] = append(at[i], met[1]), spread[i]+half*half
			}
		}
	}
	needs := make([]Requirement, len(stages))
	for i := range stages {
		if len(at[i]) < fewestCarried {
			return nil, false
		}
		mean, variance := stat.MeanVariance(at[i], nil)
		needs[i] = Requirement{math.Exp(mean), math.Sqrt(spread[i]/float64(len(at[i])) + variance)}
		if !(needs[i].LogSD > 0) {
			return nil, false
		}
	}
	return needs, true
}

// reachedAt is the day on which a sum comes to so much, and after which share of
// it; false where it never does or a day before is missing.
func reachedAt(sum []float64, enough float64) (day int, share float64, ok bool) {
	before := 0.0
	for i, h := range sum {
		if math.IsNaN(h) {
			return 0, 0, false
		}
		if h >= enough {
			return i, (enough - before) / (h - before), true
		}
		before = h
	}
	return 0, 0, false
}

// metWithin is Met after a share of a day, whose heat comes evenly.
func (w Warmth) metWithin(sumCd []float64, day int, share float64) float64 {
	before := 0.0
	if day > 0 {
		before = sumCd[day-1]
	}
	heat := before + share*(sumCd[day]-before)
	return math.Log(max(1, heat)) + w.Fallen(day) - (1-share)*w.FallPerDay
}
