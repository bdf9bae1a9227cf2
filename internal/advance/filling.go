package advance

import (
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// filling is the running year as it was filled last, with what the stations
// had shown: later on the same day it is hardly ever another.
type filling struct {
	today    civil.Date
	shown    [][]weather.Day // by station, the best first
	observed []weather.Day
	doubts   []weather.Doubt
	last     weather.SiteDay
	ownLast  civil.Date
}

// refilled puts the running year into the grounds as it was filled before, if
// the stations show what they showed then.
func (l *lore) refilled(g *grounds, ranked []weather.Series, today civil.Date) bool {
	if l == nil {
		return false
	}
	l.mu.Lock()
	f := l.filling
	l.mu.Unlock()
	if f == nil || f.today != today || len(f.shown) != len(ranked) {
		return false
	}
	for i, s := range ranked {
		if !slices.EqualFunc(f.shown[i], s.Days, sameDay) {
			return false
		}
	}
	g.observed, g.doubts, g.last, g.ownLast = f.observed, f.doubts, f.last, f.ownLast
	return true
}

// keep remembers how the running year was filled.
func (l *lore) keep(g *grounds, shown [][]weather.Day, today civil.Date) {
	if l == nil {
		return
	}
	l.mu.Lock()
	l.filling = &filling{
		today: today, shown: shown, observed: slices.Clip(g.observed), doubts: slices.Clip(g.doubts), last: g.last, ownLast: g.ownLast,
	}
	l.mu.Unlock()
}
