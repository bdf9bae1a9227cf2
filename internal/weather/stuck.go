package weather

import (
	"fmt"
	"math"
)

// When a thermometer counts as stuck; our assumptions. Whole degrees repeat by
// chance, and a bare mean more easily than two extremes together.
const (
	stuckDays       = 4   // both extremes the same
	stuckDaysSingle = 6   // of a single value a day
	stuckNeighbourK = 1.5 // no more than so much did the neighbours move: then it's the weather that stood still
)

// stuck looks at how long the same values have come.
func (g *watching) stuck(s, t int) {
	c := &g.p.c[s]
	if t == 0 || !g.p.has(s, t) || !sameC(c[mean][t], c[mean][t-1]) || !sameC(c[minimum][t], c[minimum][t-1]) || !sameC(c[maximum][t], c[maximum][t-1]) {
		g.same[s] = t
		return
	}
	least := stuckDays
	if math.IsNaN(c[minimum][t]) || math.IsNaN(c[maximum][t]) {
		least = stuckDaysSingle
	}
	from := g.same[s]
	if t-from+1 < least || g.weatherStood(s, from, t) {
		return
	}
	for d := from + 1; d <= t; d++ {
		g.doubt(s, d, t, Stuck, fmt.Sprintf("the same values since %s (%d days)", g.date(from), t-from+1))
	}
}

func sameC(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// weatherStood tells whether most neighbours moved as little.
func (g *watching) weatherStood(s, from, t int) bool {
	still, heard := 0, 0
	for k := range g.p.code {
		if k == s {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for d := from; d <= t; d++ {
			if c := g.p.c[k][mean][d]; !math.IsNaN(c) {
				low, high = min(low, c), max(high, c)
			}
		}
		if high >= low {
			heard++
			if high-low <= stuckNeighbourK {
				still++
			}
		}
	}
	return heard > 0 && 2*still > heard
}
