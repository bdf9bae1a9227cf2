package weather

import (
	"fmt"
	"math"
)

// A lasting fault is looked for as one of lastingK; the evidence turns against
// it where a station is by less than lastingLeastK beside what its neighbours
// say. Our assumptions.
const (
	lastingK      = 5.0
	lastingLeastK = 2.7

	lastingStranger = 0.5 // of two that differ: by how many spreads more the one lies beside what is usual there

	misdatedSpreadK = 1.5
	misdatedDoubt   = 0.25 // a day, in units of log-likelihood
)

// lasting looks at what a day adds to the evidence that a station has been
// wrong since some day.
func (g *watching) lasting(s, t int) {
	e, ok := g.lead(s, t)
	if !ok {
		return
	}
	h := &g.heard[e]
	variance := sq(h.spreadK)
	apart := h.agreedApart(mostOfAll(len(h.heard)))
	g.follow(s, t, e, tooWarm, lastingK*(apart-lastingLeastK)/variance)
	g.follow(s, t, e, tooCold, lastingK*(-apart-lastingLeastK)/variance)
	if t == 0 || e != mean {
		return
	}
	late, early := g.misdated(s, t)
	g.follow(s, t, e, dayLate, late)
	if len(h.heard) > 1 { // of two, the one that lags is the likelier wrong: a morning's reading written under its own date
		g.follow(s, t, e, dayEarly, early)
	}
}

// misdated is the evidence that the day's values are the neighbours' of the
// day before, and that those of the day before are the neighbours' of today.
func (g *watching) misdated(s, t int) (late, early float64) {
	c := g.p.c[s][mean]
	var rooms [2][16]float64
	lates, earlies := rooms[0][:0], rooms[1][:0]
	for _, w := range g.heard[mean].heard {
		before := g.p.c[w.station][mean][t-1] + w.offsetK
		lates = append(lates, evidenceOf(c[t], w.expectedC, before, w.spreadK))
		earlies = append(earlies, evidenceOf(c[t-1], before, w.expectedC, w.spreadK))
	}
	need := mostOfAll(len(lates))
	return agreed(lates, need), agreed(earlies, need)
}

// evidenceOf is the log of how much likelier a value is by one expectation
// than by the usual one, less what a station that is merely off must not
// gather by chance; 0 where one of them is missing.
func evidenceOf(c, usual, other, spread float64) float64 {
	if math.IsNaN(c) || math.IsNaN(usual) || math.IsNaN(other) {
		return 0
	}
	return (sq(c-usual)-sq(c-other))/2/sq(max(spread, misdatedSpreadK)) - misdatedDoubt
}

// who tells whether it is this station that is wrong, by its having several
// neighbours or, of two that differ for weeks, by lying clearly further beside
// what is usual there than the other. settled is false where neither does.
func (g *watching) who(s, t int, e element, kind runKind) (this, settled bool) {
	if len(g.heard[e].heard) > 1 || kind.mark() == OtherDate {
		return true, true
	}
	other := g.heard[e].heard[0].station
	from := g.runs[s][kind].since
	further := math.Abs(g.beside(s, from, t, e)) - math.Abs(g.beside(other, from, t, e))
	return further >= lastingStranger, math.Abs(further) >= lastingStranger
}

// beside is by how many spreads a station lay beside what is usual, on average
// of some days; 0 where nobody knows what is.
func (g *watching) beside(s, from, to int, e element) float64 {
	k, sum, n := &g.climates[s][e], 0.0, 0.0
	for t := from; t <= to && k.fitted; t++ {
		if c := g.p.c[s][e][t]; !math.IsNaN(c) {
			sum, n = sum+k.departure(g.p, t, c), n+1
		}
	}
	return sum / max(n, 1)
}

// lead gives the element that tells of lasting faults: the mean, or an extreme
// of stations that have no other.
func (g *watching) lead(s, t int) (element, bool) {
	for e := range elements {
		if !math.IsNaN(g.p.c[s][e][t]) && len(g.heard[e].heard) > 0 {
			return e, true
		}
	}
	return 0, false
}

// follow adds a day's evidence to a run, and marks or acquits.
func (g *watching) follow(s, t int, e element, kind runKind, evidence float64) {
	r := &g.runs[s][kind]
	switch turned := r.add(t, evidence); {
	case turned == begun:
		if this, settled := g.who(s, t, e, kind); !this {
			r.unsettled = true
			g.openQuestion(s, t, e, kind, settled)
			return
		}
		for d := r.since; d <= t; d++ {
			g.doubtLasting(s, d, t, e, kind)
		}
	case turned == ended:
		for d := r.peakDay + 1; d < t; d++ {
			if g.mark[s][d] == kind.mark() {
				g.acquit(s, d, t, fmt.Sprintf("since %s it agrees with its neighbours again", g.date(r.peakDay+1)))
			}
		}
	case r.on && !r.unsettled:
		g.doubtLasting(s, t, t, e, kind)
	}
}

// openQuestion says, of two stations that differ for weeks, that nobody knows
// which is wrong. Neither is doubted: a site that has only them would be left
// without a reading.
func (g *watching) openQuestion(s, t int, e element, kind runKind, settled bool) {
	if settled { // the other one will be doubted
		return
	}
	f := g.found(s, t, e)
	g.told = append(g.told, Verdict{Station: g.p.code[s], Date: g.date(t), Found: g.date(t), Reason: fmt.Sprintf(
		"since %s it has been too %s beside %s, and nothing tells which of the two is wrong: on %s %s", g.date(g.runs[s][kind].since), warmOrCold(f.valueC-f.expectedC), sources(f.by), g.date(t), f)})
}

func (k runKind) mark() Mark {
	if k == dayLate || k == dayEarly {
		return OtherDate
	}
	return BesideNeighbours
}

// doubtLasting marks a day of a run with what is wrong since when.
func (g *watching) doubtLasting(s, d, now int, e element, kind runKind) {
	if math.IsNaN(g.p.c[s][e][d]) {
		return
	}
	since := g.date(g.runs[s][kind].since)
	f := g.found(s, now, e)
	var reason string
	switch kind {
	case tooWarm, tooCold:
		reason = fmt.Sprintf("too %s since %s: on %s %s", warmOrCold(f.valueC-f.expectedC), since, g.date(now), f)
	case dayLate:
		reason = fmt.Sprintf("since %s the values are those of its neighbours (%s) of the day before", since, sources(f.by))
	case dayEarly:
		reason = fmt.Sprintf("since %s the values are those of its neighbours (%s) of the day after", since, sources(f.by))
	}
	g.doubt(s, d, now, kind.mark(), reason)
}
