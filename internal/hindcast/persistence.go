package hindcast

import (
	"math"

	"budcall/internal/ensemble"
)

// What of the days just observed speaks of the days to come: a spell for a week
// or so, an early or late spring for a month. Tried: 3 days alone serve best
// within a fortnight, 30 from three weeks on, both together everywhere.
const (
	spellDays     = 3
	springDays    = 30
	reachDays     = 30
	aroundDays    = 15 // to either side of the day of issue, from which slopes are taken
	smoothDays    = 7  // to either side, over which the climate of a day is smoothed
	leastObserved = 0.6
)

// departures are members less the climate of the day.
type departures struct {
	climateC []float64
	of       [][]float64    // by member and day
	recent   [2][][]float64 // means of the spellDays and springDays before each day
}

func newDepartures(m ensemble.Members) departures {
	d := departures{climateC: smoothedMean(m.TempC)}
	for _, t := range m.TempC {
		a := make([]float64, len(t))
		for i := range a {
			a[i] = t[i] - d.climateC[i]
		}
		d.of = append(d.of, a)
		for p, days := range []int{spellDays, springDays} {
			x := make([]float64, len(t))
			for at := range x {
				x[at] = meanBefore(a, at, days)
			}
			d.recent[p] = append(d.recent[p], x)
		}
	}
	return d
}

func smoothedMean(tempC [][]float64) []float64 {
	out := make([]float64, len(tempC[0]))
	for i := range out {
		var sum, n float64
		for k := max(0, i-smoothDays); k <= min(len(out)-1, i+smoothDays); k++ {
			for _, t := range tempC {
				sum, n = sum+t[k], n+1
			}
		}
		out[i] = sum / n
	}
	return out
}

// meanBefore is the mean of the days before one, NaN where too few are known.
func meanBefore(a []float64, at, days int) float64 {
	var sum, n float64
	for i := max(0, at-days); i < at; i++ {
		if !math.IsNaN(a[i]) {
			sum, n = sum+a[i], n+1
		}
	}
	if n < leastObserved*float64(days) {
		return math.NaN()
	}
	return sum / n
}

// persistence moves each member by what the days just observed say of the next
// ones: with x the mean departures of the last days from their climate,
//
//	t(k) + b(k)·(x observed − x of the member)
//
// where b(k) are the least-squares slopes of the departure of day k on x over
// all members and the days around. What x doesn't tell stays the member's own.
// With too few observed days the members stay as they are.
func persistence(m ensemble.Members, d departures, observed []float64, issued int) ensemble.Members {
	if issued < springDays || issued >= len(d.climateC) {
		return m
	}
	soFar := make([]float64, issued)
	for i := range soFar {
		soFar[i] = observed[i] - d.climateC[i]
	}
	spell, spring := meanBefore(soFar, issued, spellDays), meanBefore(soFar, issued, springDays)
	if math.IsNaN(spell) || math.IsNaN(spring) {
		return m
	}
	out := ensemble.Members{From: m.From, Years: m.Years}
	for _, t := range m.TempC {
		out.TempC = append(out.TempC, append([]float64(nil), t...))
	}
	for k := 0; k < reachDays && issued+k < len(d.climateC); k++ {
		b, c := d.slopes(issued, k)
		for i := range out.TempC {
			out.TempC[i][issued+k] += b*(spell-d.recent[0][i][issued]) + c*(spring-d.recent[1][i][issued])
		}
	}
	return out
}

// slopes of the departure k days on, on the two means, by normal equations.
func (d departures) slopes(issued, k int) (ofSpell, ofSpring float64) {
	var xx, xz, zz, xy, zy float64
	for at := max(springDays, issued-aroundDays); at <= min(len(d.climateC)-1-k, issued+aroundDays); at++ {
		for i := range d.of {
			x, z, y := d.recent[0][i][at], d.recent[1][i][at], d.of[i][at+k]
			xx, xz, zz, xy, zy = xx+x*x, xz+x*z, zz+z*z, xy+x*y, zy+z*y
		}
	}
	det := xx*zz - xz*xz
	if det <= 1e-9*xx*zz {
		return 0, 0
	}
	return (xy*zz - zy*xz) / det, (zy*xx - xy*xz) / det
}
