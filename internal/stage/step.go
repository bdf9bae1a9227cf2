package stage

import (
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Departures gives, for each year of a site's sights, ascending, by how much
// its stages needed more heat than on their own mean over the years, on the
// mean of those that were seen: in the sights' units.
func Departures(sights []Sight) (years []int, by []float64) {
	type mean struct{ sum, n float64 }
	stages, sums := map[int]mean{}, map[int]mean{}
	for _, s := range sights {
		m := stages[s.Stage]
		stages[s.Stage] = mean{m.sum + s.LogHeat, m.n + 1}
	}
	for _, s := range sights {
		if !slices.Contains(years, s.Year) {
			years = append(years, s.Year)
		}
		of, m := stages[s.Stage], sums[s.Year]
		sums[s.Year] = mean{m.sum + s.LogHeat - of.sum/of.n, m.n + 1}
	}
	slices.Sort(years)
	for _, y := range years {
		by = append(by, sums[y].sum/sums[y].n)
	}
	return years, by
}

// Step is where a series of years changed its level.
type Step struct {
	Since int     // first year on the new level
	By    float64 // the new level less the old
}

// A level needs a few years to be one: our assumption.
const (
	fewestBeside = 3
	fewestYears  = 8
)

// FindStep looks for the year from which on departures are on another level, as
// where a thermometer was moved or drifts; drifting shows as a step in the
// middle of it. It is the standard normal homogeneity test (Alexandersson 1986,
// J. Climatol. 6:661-675): with the series brought to mean 0 and SD 1,
//
//	T = max over k of k·z̄₁² + (n − k)·z̄₂²
//
// against the value that chance exceeds in 1 of 20 series. Both levels need 3
// years and the series 8.
func FindStep(years []int, departures []float64) (Step, bool) {
	n := len(years)
	if n < fewestYears {
		return Step{}, false
	}
	mean, sd := stat.MeanStdDev(departures, nil)
	if !(sd > 0) {
		return Step{}, false
	}
	var best float64
	var step Step
	for k := fewestBeside; k <= n-fewestBeside; k++ {
		before, after := stat.Mean(departures[:k], nil), stat.Mean(departures[k:], nil)
		z1, z2 := (before-mean)/sd, (after-mean)/sd
		if t := float64(k)*z1*z1 + float64(n-k)*z2*z2; t > best {
			best, step = t, Step{years[k], after - before}
		}
	}
	return step, best > criticalStep(n)
}

// criticalStep is the test's 95 % level by length of the series (from memory,
// Alexandersson's table; a test draws series and counts), in straight lines.
func criticalStep(n int) float64 {
	table := []struct{ n, t float64 }{{8, 5.1}, {10, 5.7}, {15, 6.45}, {20, 6.95}, {30, 7.65}, {50, 8.45}, {100, 9.15}}
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if x := float64(n); x <= b.n {
			return a.t + (b.t-a.t)*(x-a.n)/(b.n-a.n)
		}
	}
	return table[len(table)-1].t
}
