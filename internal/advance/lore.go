package advance

import (
	"context"
	"fmt"
	"sync"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/notice"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// lore is what past years tell of a site's season: the same on every day of
// it, as long as nobody changes the past.
type lore struct {
	past     []ensemble.Mean           // daily means at the site, sorted
	before   map[string][]weather.Day  // by station: the last days of the year before
	steads   map[string]*weather.Stead // by station: how its days stand for the first one's, where that could be fitted
	heats    []stage.Counted
	dates    map[int]ensemble.DayNormal // mean date by stage, where it is known
	warnings []string                   // for the ops person
	from     *learning                  // what other sites tell

	mu       sync.Mutex // a climate serves one at a time
	climates map[civil.MonthDay]*ensemble.Climate
	last     *again
	filling  *filling

	source ensemble.Past
	origin ensemble.Origin // where members come from

	foreErrs ensemble.ErrorsK // of short-range forecasts, as learned; nil: as assumed
}

// moved gives the members from a start on as seen on a day.
func (l *lore) moved(start civil.MonthDay, soFar []float64, issued int) ensemble.Members {
	l.mu.Lock()
	defer l.mu.Unlock()
	c, ok := l.climates[start]
	if !ok {
		return ensemble.Members{}
	}
	return c.Persist(soFar, issued)
}

// prepare works out what past years tell of a site.
func prepare(ctx context.Context, r Reader, t Task, shared *learning) (*lore, error) {
	year := t.today().Year()
	p, err := t.profile()
	if err != nil {
		return nil, err
	}
	over := civil.Range{First: civil.Of(year-pastYears, 1, 1), Last: civil.Of(year, 1, 1) - 1}
	ranked, err := stations(ctx, r, t, over)
	if err != nil {
		return nil, err
	}
	l := &lore{from: shared, before: map[string][]weather.Day{}, climates: map[civil.MonthDay]*ensemble.Climate{}}
	for _, st := range ranked {
		l.before[st.Station] = after(st.Days, over.Last-gapBefore)
	}
	l.steads = fit(ranked)
	var read []ensemble.Mean
	l.past, read = filled(t.Site, ranked, over)
	l.source = ensemble.Past{Site: t.Site.Code, AltitudeM: t.Site.AltitudeM, Own: l.past, Read: read, Normals: t.Programme.Normals(t.Site)}
	for _, st := range ranked[min(1, len(ranked)):] {
		l.source.Lenders = append(l.source.Lenders, ensemble.Lender{
			Station: st.Station, AltitudeM: st.AltitudeM, Means: stage.Means(st.Days), ErrSDK: st.ErrSDC,
		})
	}
	if err := l.misses(ctx, r, t, read); err != nil {
		return nil, err
	}
	if err := shared.apply(l, t.Site, p); err != nil {
		return nil, fmt.Errorf("learning from past seasons of %s: %w", t.Site.Code, err)
	}
	for _, h := range l.heats {
		for _, w := range h.Warmths {
			l.prepareFrom(w.Start, year)
		}
	}
	for _, st := range p.Stages {
		l.prepareFrom(st.Heat.Start, year)
	}
	return l, nil
}

// prepareFrom makes members that reach to the end of the year and no further,
// so that the newest past year's window holds nothing of the running one.
func (l *lore) prepareFrom(start civil.MonthDay, year int) {
	if _, ok := l.climates[start]; ok {
		return
	}
	horizon := int(civil.Of(year, 12, 31)-start.In(year)) + 1
	members, origin := l.source.Members(ensemble.Alignment{Start: start, Year: year, Horizon: horizon})
	l.climates[start], l.origin = ensemble.NewClimate(members), origin
}

// foreign gives whose past years members are of, where they aren't only the
// site's own.
func (l *lore) foreign() *notice.PastYears {
	if l == nil || len(l.origin.Lent) == 0 && l.origin.Generated == 0 {
		return nil
	}
	y := notice.PastYears{Own: l.origin.Own, Generated: l.origin.Generated}
	for _, from := range l.origin.Lent {
		lent := notice.LentYears{Station: from.Station, Years: from.Years, WithinK: from.ErrSDK}
		if from.SideBySide() {
			lent.SeenDays = from.OverlapDays
		}
		y.Lent = append(y.Lent, lent)
	}
	return &y
}

// filled gives a site's daily means from its stations, and those of them that
// its first station read itself.
func filled(s config.Site, ranked []weather.Series, over civil.Range) (means, read []ensemble.Mean) {
	site := weather.Site{AltitudeM: s.AltitudeM, Need: weather.NeedMean, MaxGapDays: maxGapDays, Ranked: ranked}
	read = []ensemble.Mean{} // not nil, which would stand for all of them
	for _, d := range site.Fill(over) {
		c, _, ok := d.Day.Mean()
		if !ok {
			continue
		}
		m := ensemble.Mean{Date: d.Day.Date, MeanC: c}
		means = append(means, m)
		if !d.Substitute {
			read = append(read, m)
		}
	}
	return means, read
}

// after gives the days later than one.
func after(days []weather.Day, day civil.Date) []weather.Day {
	i := len(days)
	for i > 0 && days[i-1].Date > day {
		i--
	}
	return append([]weather.Day(nil), days[i:]...)
}
