package weather

import (
	"fmt"
	"math"
)

// When a day by itself is doubted; our assumptions, chosen on planted faults
// of other seeds than those that are reported. Both must be passed.
const (
	apartSpreads     = 5.0
	apartK           = 8.5
	apartMeanSpreads = 4.0
	apartMeanK       = 6.5
	alikeSpreads     = 2.0 // from what a neighbour says: it has the like
	seasonSpreads    = 5.0 // from what is usual, where no neighbour has a reading
	witnessSpreads   = 4.0 // the same, of a neighbour that is to be asked
	backSpreads      = 3.5 // there and back again, in hindsight
	jumpSpreads      = 5.0 // from one day to the next, the same
	strangerSpreads  = 1.0 // of two stations that differ: by how many spreads more than the other's
)

// single looks at a day by itself: by its neighbours, or by its own past where
// none has a reading.
func (g *watching) single(s, t int) {
	for e := range elements {
		if math.IsNaN(g.p.c[s][e][t]) {
			continue
		}
		if h := &g.heard[e]; len(h.heard) > 0 {
			if g.unlike(h, e) && (len(h.heard) > 1 || g.stranger(s, h.heard[0].station, t, e)) {
				g.doubtSingle(s, t, e, UnlikeNeighbours)
			}
			continue
		}
		if !g.heard[e].silenced {
			g.alone(s, t, e)
		}
	}
}

// unlike tells whether the neighbours find an element of the day off. Of three
// or more none may have the like: foehn, a cold pool or a front that has
// reached some of the stations is no fault of theirs.
func (g *watching) unlike(h *hearing, e element) bool {
	for _, w := range h.heard {
		if len(h.heard) > 2 && math.Abs(w.apartK) <= alikeSpreads*w.spreadK {
			return false
		}
	}
	if e == mean {
		return math.Abs(h.spreads) >= apartMeanSpreads && math.Abs(h.apartK) >= apartMeanK
	}
	return math.Abs(h.spreads) >= apartSpreads && math.Abs(h.apartK) >= apartK
}

// doubtSingle marks a day, as one in °F where that explains it.
func (g *watching) doubtSingle(s, t int, e element, m Mark) {
	f := g.found(s, t, e)
	if c := (f.valueC - 32) / 1.8; math.Abs(c-f.expectedC) <= 3*f.spreadK && 3*math.Abs(c-f.expectedC) < math.Abs(f.valueC-f.expectedC) {
		g.doubt(s, t, t, DaysInF, fmt.Sprintf("%s; as degrees Fahrenheit it would be %.1f °C", f, c))
		return
	}
	g.doubt(s, t, t, m, fmt.Sprintf("%s: %s", f, f.apart()))
}

// alone looks at a day that no neighbour can be asked about.
func (g *watching) alone(s, t int, e element) {
	k, c := &g.climates[s][e], g.p.c[s][e]
	if k.fitted && math.Abs(k.departure(g.p, t, c[t])) >= seasonSpreads {
		g.doubtSingle(s, t, e, UnlikeSeason)
		return
	}
	if t == 0 || !k.changeFitted || g.doubted[s][t-1] {
		return
	}
	spread := k.changeK.at(g.p, t)
	if change := c[t] - c[t-1]; math.Abs(change) >= jumpSpreads*spread || g.thereAndBack(c, t, spread) {
		g.doubt(s, t, t, Jump, fmt.Sprintf("%s %.1f °C after %.1f °C the day before: a change of %+.1f K, usual are ± %.1f K (no neighbour has a reading)", e, c[t], c[t-1], change, spread))
	}
}

// thereAndBack tells, in hindsight, whether a day stands out from both beside
// it by more than weather that passes in a day.
func (g *watching) thereAndBack(c []float64, t int, spread float64) bool {
	if !g.hindsight || t+1 >= len(c) {
		return false
	}
	up, down := c[t]-c[t-1], c[t]-c[t+1]
	return up*down > 0 && math.Min(math.Abs(up), math.Abs(down)) >= backSpreads*spread
}

// stranger tells whether of two stations that differ on a day this one may be
// the wrong one: its own past doesn't make its day clearly the less strange.
func (g *watching) stranger(s, other, t int, e element) bool {
	return g.strangeness(s, t, e) > g.strangeness(other, t, e)-strangerSpreads
}

// strangeness is how far a day lies from what is usual and from the day
// before, in spreads.
func (g *watching) strangeness(s, t int, e element) float64 {
	k, c := &g.climates[s][e], g.p.c[s][e]
	var sum float64
	if k.fitted {
		sum += sq(k.departure(g.p, t, c[t]))
	}
	if t > 0 && k.changeFitted && !math.IsNaN(c[t-1]) && !g.doubted[s][t-1] {
		sum += sq((c[t] - c[t-1]) / k.changeK.at(g.p, t))
	}
	return math.Sqrt(sum)
}
