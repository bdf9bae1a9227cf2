package weather

import "budcall/internal/civil"

// Fits are looked at on the first of January, so that what is said of a day
// doesn't hang on how far back the days go that were given; with less than two
// years of them at the first of every month.
const young = 2 * daysOfAYear

// refit renews offsets and climates when it is time.
func (g *watching) refit(t int) {
	newMonth := t == 0 || g.p.month[t] != g.p.month[t-1]
	if newMonth && (g.p.month[t] == 0 || t < young && !g.hindsight || t == 0) {
		from, to := g.around(t, climateYears)
		for s := range g.p.code {
			for e := range elements {
				g.climates[s][e] = g.fit.climateOf(g.p, g.p.c[s][e], g.doubted[s], from, to)
			}
		}
	}
	for s := range g.p.code {
		for k := range g.p.code {
			if k == s {
				continue
			}
			if newMonth && (g.p.month[t] == 0 || t == 0 || g.fitted[s][k] < young && !g.hindsight) {
				g.pair(s, k, t)
			}
			if newMonth || g.p.half[t] {
				g.relevel(s, k, t)
			}
		}
	}
}

// around gives the days a fit for the year from t on may look at.
func (g *watching) around(t, years int) (from, to int) {
	if g.hindsight {
		half := years / 2 * daysOfAYear
		return max(0, t-half), min(g.p.days, t+half+daysOfAYear)
	}
	return max(0, t-years*daysOfAYear), t
}

func (g *watching) pair(s, k, t int) {
	from, to := g.around(t, fitYears)
	if to == from {
		return
	}
	common := 0
	for e := range elements {
		a, b := g.p.c[s][e], g.p.c[k][e]
		doubted := g.either(s, k, from, to)
		level := g.offsets[s][k][e].levelK
		o := g.fit.fit(g.p, a, b, doubted, from, to)
		o.levelK = level
		g.offsets[s][k][e] = o
		common = max(common, g.fit.days)
	}
	g.fitted[s][k] = common
}

func (g *watching) relevel(s, k, t int) {
	from, to := max(0, t-levelDays), t
	if g.hindsight {
		from, to = max(0, t-levelDaysAround), min(g.p.days, t+levelDaysAround)
	}
	for e := range elements {
		if o := &g.offsets[s][k][e]; o.fitted {
			g.fit.relevel(g.p, g.p.c[s][e], g.p.c[k][e], from, to, o)
		}
	}
}

// either gives the days on which one of two stations is doubted.
func (g *watching) either(s, k, from, to int) []bool {
	for t := from; t < to; t++ {
		g.both[t] = g.doubted[s][t] || g.doubted[k][t]
	}
	return g.both
}

func (g *watching) date(t int) civil.Date { return g.p.first + civil.Date(t) }
