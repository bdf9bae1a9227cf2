package stage

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// gapPersists is what is left of a day's departure from a member's a day later,
// in days that nobody read: near what daily means keep in spring (0.7 at
// Hubbard Brook, USDA Forest Service, EDI knb-lter-hbr.59).
const gapPersists = 0.7

// splice sets out to a member with the days that are known in it. A day that
// isn't is the member's own, drawn to the readings on both sides of the gap as
// far as weather lasts: with p days from the last reading, q to the next, and
// ρ what is left after a day,
//
//	t + wₚ·(k − t)ₚ + w_q·(k − t)_q,  wₚ = ρᵖ(1 − ρ^2q)/(1 − ρ^2(p+q)), w_q alike
//
// the expectation of a process that forgets by ρ, and ρᵖ alone where no reading
// follows. So members agree beside a reading and differ by as much as years do
// in the midst of a long gap: its error widens with the distance from a reading,
// and no gap looks like a reading.
func splice(out, member, knownC []float64) {
	copy(out, member)
	knownC = knownC[:min(len(knownC), len(out))]
	last := -1
	for i := 0; i < len(knownC); i++ {
		if !math.IsNaN(knownC[i]) {
			out[i], last = knownC[i], i
			continue
		}
		next := i
		for next < len(knownC) && math.IsNaN(knownC[next]) {
			next++
		}
		drawn(out, member, knownC, last, next)
		i = next - 1
	}
}

// drawn draws the days between two that are known; before the first and after
// the last there is none.
func drawn(out, member, knownC []float64, last, next int) {
	var left, right float64
	if last >= 0 {
		left = knownC[last] - member[last]
	}
	if next < len(knownC) {
		right = knownC[next] - member[next]
	}
	for i := last + 1; i < next; i++ {
		p, q := 0.0, 0.0
		if last >= 0 {
			p = math.Pow(gapPersists, float64(i-last))
		}
		if next < len(knownC) {
			q = math.Pow(gapPersists, float64(next-i))
		}
		both := 1 - p*p*q*q
		out[i] += (left*p*(1-q*q) + right*q*(1-p*p)) / both
	}
}

// doubtCd gives by how much heat in °C·d each of the known days may err when
// their heat's sum errs by one standard deviation; nil where nothing is doubted.
// A day counts by how much warmth a degree makes on it, taken between one stated
// error below and one above, so that a cold day's error is of little weight.
func (g *gathering) doubtCd(knownC []float64, doubts []weather.Doubt) []float64 {
	n := min(len(doubts), len(knownC), g.days)
	weights := make([]float64, max(0, n))
	any := false
	for i := g.start; i < n; i++ {
		sd := doubts[i].SDK()
		if sd == 0 || math.IsNaN(knownC[i]) {
			continue
		}
		day := g.from + civil.Date(i)
		weights[i] = (g.warmth.Of(day, knownC[i]+sd) - g.warmth.Of(day, knownC[i]-sd)) / (2 * sd)
		any = any || weights[i] != 0
	}
	if !any {
		return nil
	}
	shift := weather.Together(doubts[:n], weights)
	for i := range shift {
		shift[i] *= weights[i]
	}
	return shift
}
