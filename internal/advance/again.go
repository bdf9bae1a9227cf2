package advance

import (
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// again is the forecast issued last for a site, with what it was issued from:
// of the three times a day that a site is carried on, two find nothing new.
type again struct {
	today    civil.Date
	trees    int     // living ones
	shedCd   float64 // °C·d after ripeness at which seed is shed
	from     *grounds
	forecast forecasts
	err      error
}

// forecastAgain gives the forecast of the day: the one issued last where
// nothing has changed since.
func (g *grounds) forecastAgain(t Task) (forecasts, error) {
	trees, shedCd := living(t.Site.Trees), t.Site.Settings.ShedAfterCd
	g.lore.mu.Lock()
	last := g.lore.last
	g.lore.mu.Unlock()
	if last != nil && last.today == t.today() && last.trees == trees && last.shedCd == shedCd && g.sameAs(last.from) {
		return last.forecast, last.err
	}
	f, err := g.forecasts(t)
	g.lore.mu.Lock()
	g.lore.last = &again{today: t.today(), trees: trees, shedCd: shedCd, from: g.inputs(), forecast: f, err: err}
	g.lore.mu.Unlock()
	return f, err
}

// inputs is the part of the grounds that a day of a lore differs in.
func (g *grounds) inputs() *grounds {
	return &grounds{year: g.year, observed: g.observed, doubts: g.doubts, reports: g.reports, outlook: g.outlook, foreseen: g.foreseen}
}

// sameAs reports whether two grounds of one lore give the same forecast.
func (g *grounds) sameAs(o *grounds) bool {
	return g.year == o.year && g.foreseen == o.foreseen && slices.Equal(g.reports, o.reports) && slices.Equal(g.doubts, o.doubts) &&
		slices.EqualFunc(g.outlook, o.outlook, sameDay) && slices.EqualFunc(g.observed, o.observed, sameDay)
}

// sameDay compares bits, so that a missing value equals a missing one.
func sameDay(a, b weather.Day) bool {
	same := func(x, y float64) bool { return math.Float64bits(x) == math.Float64bits(y) }
	return a.Date == b.Date && a.Mark == b.Mark && same(a.MinC, b.MinC) && same(a.MaxC, b.MaxC) && same(a.MeanC, b.MeanC)
}
