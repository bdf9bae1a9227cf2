package weather

import (
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
)

// Watch judges the days of stations that lie near each other by one another
// and by their own past. It looks at each day with what is known by then: the
// days before and the neighbours' same day. What takes days to be seen (a
// sensor that drifts, values under another date, a thermometer that is stuck)
// is marked back to where it began once it is found.
//
// Who is wrong of several is told by the majority; see hearing. Of two
// stations that differ the one is doubted whose own past makes the day the
// stranger one, and both where neither is clearly stranger; where they differ
// for weeks, neither is then doubted, and the question is told.
type Watch struct {
	Series []Series // each sorted, without repeats; a station is no neighbour of itself
}

// Since gives what was found from day on, in the order in which it was found;
// what is taken back has the mark Usable. The days before serve as the past.
func (w Watch) Since(day civil.Date) []Verdict {
	g := newWatching(w.Series, false)
	for t := range g.p.days {
		g.day(t)
	}
	var out []Verdict
	for _, v := range g.told {
		if v.Found >= day {
			out = append(out, v)
		}
	}
	return out
}

// InHindsight judges long series as a whole, by offsets and climates of the
// years around each day, and gives what is doubted in the end.
func (w Watch) InHindsight() []Verdict {
	g := newWatching(w.Series, true)
	for t := range g.p.days {
		g.day(t)
	}
	var out []Verdict
	for _, v := range g.told {
		s := g.index[v.Station]
		t := int(v.Date - g.p.first)
		if v.Mark != Usable && g.mark[s][t] == v.Mark && g.foundAt[s][t] == v.Found {
			out = append(out, v)
		}
	}
	return out
}

// watching is a Watch at work.
type watching struct {
	p         *panel
	fit       *fitter
	hindsight bool
	index     map[string]int
	offsets   [][][elements]offset // by station, neighbour
	fitted    [][]int              // day of the last fit, by station, neighbour
	climates  [][elements]climate
	mark      [][]Mark
	doubted   [][]bool
	foundAt   [][]civil.Date
	runs      [][runKinds]run
	same      []int  // first of the days up to now that hold the same values, by station
	both      []bool // room for the days on which one of two is doubted
	off       []bool // who is doubted already, as far as that counts when others are judged
	strange   []bool // whose day is far from what is usual there
	told      []Verdict
	heard     [elements]hearing // of the day and station looked at
}

// runKind is what may be wrong for days on end.
type runKind int

const (
	tooWarm runKind = iota
	tooCold
	dayLate  // the neighbours' values of the day before
	dayEarly // and of the day after
	runKinds
)

func newWatching(series []Series, hindsight bool) *watching {
	g := &watching{p: newPanel(series), fit: newFitter(), hindsight: hindsight, index: map[string]int{}}
	g.both, g.off, g.strange = make([]bool, g.p.days), make([]bool, len(g.p.code)), make([]bool, len(g.p.code))
	n := len(g.p.code)
	g.offsets, g.fitted = make([][][elements]offset, n), make([][]int, n)
	g.climates, g.runs, g.same = make([][elements]climate, n), make([][runKinds]run, n), make([]int, n)
	for s, code := range g.p.code {
		g.index[code] = s
		g.offsets[s], g.fitted[s] = make([][elements]offset, n), make([]int, n)
		g.mark = append(g.mark, make([]Mark, g.p.days))
		g.doubted = append(g.doubted, make([]bool, g.p.days))
		g.foundAt = append(g.foundAt, make([]civil.Date, g.p.days))
	}
	return g
}

// day judges one day of every station, first the day by itself and then what
// it adds to what lasts, for which the first says whom to ask. In what order
// the stations come doesn't matter.
func (g *watching) day(t int) {
	g.refit(t)
	for s := range g.p.code {
		g.off[s], g.strange[s] = g.inRun(s), g.strangeToSeason(s, t)
	}
	for s := range g.p.code {
		if g.stuck(s, t); g.p.has(s, t) {
			g.hear(s, t)
			g.single(s, t)
		}
	}
	for s := range g.p.code {
		g.off[s] = g.off[s] || g.doubted[s][t]
	}
	for s := range g.p.code {
		if g.p.has(s, t) {
			g.hear(s, t)
			g.lasting(s, t)
		}
	}
}

// hear asks the neighbours of a station about a day. One that is doubted itself
// is asked only where fewer than two others are left, since more than half must
// agree, and not at all if it is the only one.
func (g *watching) hear(s, t int) {
	for e := range elements {
		h := &g.heard[e]
		h.heard, h.silenced = h.heard[:0], false
		value := g.p.c[s][e][t]
		for k := range g.p.code {
			o := &g.offsets[s][k][e]
			neighbour := g.p.c[k][e][t]
			if k == s || !o.fitted || math.IsNaN(neighbour) || math.IsNaN(value) {
				continue
			}
			w := witness{station: k, offsetK: o.usualK.at(g.p, t) + o.levelK, spreadK: o.spreadK.at(g.p, t)}
			w.expectedC = neighbour + w.offsetK
			w.apartK = value - w.expectedC
			h.heard = append(h.heard, w)
		}
		g.choose(h)
		h.settle()
	}
}

// choose leaves out those neighbours that are no good witnesses.
func (g *watching) choose(h *hearing) {
	count := func(bad []bool) (n int) {
		for _, w := range h.heard {
			if !bad[w.station] {
				n++
			}
		}
		return n
	}
	drop := func(bad []bool) {
		h.heard = slices.DeleteFunc(h.heard, func(w witness) bool { return bad[w.station] })
	}
	if count(g.strange) > 0 { // where all are strange it is the weather
		drop(g.strange)
	}
	switch n := count(g.off); {
	case n >= 2:
		drop(g.off)
	case n == 0 && len(h.heard) == 1:
		h.heard, h.silenced = h.heard[:0], true
	}
}

// strangeToSeason tells whether a day is so far from what is usual there that
// it is no good witness, though it may be right.
func (g *watching) strangeToSeason(s, t int) bool {
	for e := range elements {
		k, c := &g.climates[s][e], g.p.c[s][e][t]
		if k.fitted && math.Abs(k.departure(g.p, t, c)) >= witnessSpreads {
			return true
		}
	}
	return false
}

// inRun tells whether a station has been off for days.
func (g *watching) inRun(s int) bool {
	for i := range g.runs[s] {
		if r := &g.runs[s][i]; r.on && !r.unsettled {
			return true
		}
	}
	return false
}

// doubt marks a day, unless it is marked already.
func (g *watching) doubt(s, t, now int, m Mark, reason string) {
	if g.mark[s][t] != Usable {
		return
	}
	g.mark[s][t], g.doubted[s][t], g.foundAt[s][t] = m, true, g.p.first+civil.Date(now)
	g.told = append(g.told, Verdict{Station: g.p.code[s], Date: g.p.first + civil.Date(t), Found: g.p.first + civil.Date(now), Mark: m, Reason: reason})
}

// acquit takes a mark back.
func (g *watching) acquit(s, t, now int, reason string) {
	g.mark[s][t], g.doubted[s][t] = Usable, false
	g.told = append(g.told, Verdict{Station: g.p.code[s], Date: g.p.first + civil.Date(t), Found: g.p.first + civil.Date(now), Reason: reason})
}

// found describes an element of the day that is being looked at.
func (g *watching) found(s, t int, e element) finding {
	h := &g.heard[e]
	f := finding{what: e.String(), valueC: g.p.c[s][e][t], expectedC: h.expectedC, spreadK: h.spreadK}
	for _, w := range h.heard {
		f.by = append(f.by, g.p.code[w.station])
	}
	if len(h.heard) == 0 {
		k := &g.climates[s][e]
		f.expectedC, f.spreadK = k.usualC.at(g.p, t), k.downK.at(g.p, t)
		if f.valueC > f.expectedC {
			f.spreadK = k.upK.at(g.p, t)
		}
	}
	return f
}

func (f finding) apart() string {
	return fmt.Sprintf("%.1f K too %s", math.Abs(f.valueC-f.expectedC), warmOrCold(f.valueC-f.expectedC))
}

func warmOrCold(k float64) string {
	if k > 0 {
		return "warm"
	}
	return "cold"
}
