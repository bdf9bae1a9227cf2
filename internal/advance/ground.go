package advance

import (
	"context"
	"fmt"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// pastYears is how many years of a station are looked at for the weather to
// come; about 30 lose nothing (tried on open series).
const pastYears = 30

// maxGapDays is how many days in a row another station may stand in for the
// first one: our assumption.
const maxGapDays = 60

// grounds is what a site's day is decided from.
type grounds struct {
	year     int
	profile  stage.Profile
	observed []weather.Day   // of the running year, up to yesterday
	doubts   []weather.Doubt // stated error of those that stand in for a reading, by day; nil where none does
	reports  []trail.Report
	outlook  []weather.Day   // short-range forecast, from today on
	foreseen civil.Date      // the day on which it was issued
	last     weather.SiteDay // last real reading of the running year
	ownLast  civil.Date      // last day of which the first station has a usable reading; zero: of none
	lore     *lore           // what past years tell; nil where nobody asked for a forecast
	members  map[civil.MonthDay]ensemble.Members
}

// ground reads what a forecast needs.
func ground(ctx context.Context, r Reader, t Task) (*grounds, error) {
	profile, err := t.profile()
	if err != nil {
		return nil, err
	}
	l, err := t.Memo.lore(ctx, r, t, profile)
	if err != nil {
		return nil, err
	}
	g, err := running(ctx, r, t, l)
	if err != nil {
		return nil, err
	}
	g.lore, g.members = l, map[civil.MonthDay]ensemble.Members{}
	if g.reports, err = r.Reports(ctx, t.Site.Code, g.year); err != nil {
		return nil, err
	}
	if t.Site.Forecast != "" {
		err = g.lookOut(ctx, r, t)
	}
	return g, err
}

func (t Task) profile() (stage.Profile, error) {
	p, ok := t.Programme.Profiles[t.Site.Profile]
	if !ok {
		return p, &Unfit{Site: t.Site.Code, Err: fmt.Errorf("no profile is called %q: name one of those in profiles/", t.Site.Profile)}
	}
	return p, nil
}

// running reads the running year's weather. l knows the end of the year before
// at each of the site's stations, and keeps what was filled; nil has it read too.
func running(ctx context.Context, r Reader, t Task, l *lore) (*grounds, error) {
	g := &grounds{year: t.today().Year()}
	profile, err := t.profile()
	if err != nil {
		return nil, err
	}
	g.profile = profile
	first := g.year
	var before map[string][]weather.Day
	if l == nil {
		first--
	} else {
		before = l.before
	}
	ranked, err := stations(ctx, r, t, civil.Range{First: civil.Of(first, 1, 1), Last: t.today() - 1})
	if err != nil {
		return nil, err
	}
	if l.refilled(g, ranked, t.today()) {
		return g, nil
	}
	steads, err := g.steads(ctx, r, t, l, ranked)
	if err != nil {
		return nil, err
	}
	shown := make([][]weather.Day, len(ranked))
	for i := range ranked {
		shown[i] = ranked[i].Days
		ranked[i].Days = append(slices.Clip(before[ranked[i].Station]), ranked[i].Days...)
		ranked[i].Stead = steads[ranked[i].Station]
	}
	if len(ranked) > 0 {
		g.ownLast = weather.LastRead(ranked[0].Days)
	}
	newYear := civil.Of(g.year, 1, 1)
	site := weather.Site{AltitudeM: t.Site.AltitudeM, Need: weather.NeedMean, MaxGapDays: maxGapDays, Ranked: ranked}
	for _, d := range site.Fill(civil.Range{First: newYear - gapBefore, Last: t.today() - 1}) {
		if d.Day.Date < newYear { // only so that a gap is as long as it is
			continue
		}
		g.observed = append(g.observed, d.Day)
		g.doubt(d)
		if d.Station != "" {
			g.last = d
		}
	}
	l.keep(g, shown, t.today())
	return g, nil
}

// doubt notes the stated error of the day that was observed last. A reading has
// none here: heat needs are those of the first station's readings.
func (g *grounds) doubt(d weather.SiteDay) {
	if g.doubts == nil && d.Doubt != (weather.Doubt{}) {
		g.doubts = make([]weather.Doubt, len(g.observed)-1, 366)
	}
	if g.doubts != nil {
		g.doubts = append(g.doubts, d.Doubt)
	}
}

// gapBefore is how many days before the year are looked at, so that a station
// that stands in for another since last year doesn't begin anew.
const gapBefore = maxGapDays + 1

// stations reads the days of a site's stations, nearest first.
func stations(ctx context.Context, r Reader, t Task, over civil.Range) ([]weather.Series, error) {
	var ranked []weather.Series
	s := t.Site
	for _, code := range s.Stations {
		st := station(t.Programme, code)
		days, err := r.History(ctx, code, over.First.Year(), over.Last.Year())
		if err != nil {
			return nil, err
		}
		ranked = append(ranked, weather.Series{
			Station: code, AltitudeM: st.AltitudeM, Days: before(days, over.Last+1),
			ErrSDC: weather.ErrorSDC(s.DistanceKm(st), st.AltitudeM-s.AltitudeM),
		})
	}
	return ranked, nil
}

// outlookAge is how old a short-range forecast may be and still be used.
const outlookAge = 48 * time.Hour

// lookOut takes the site's short-range forecast from today on, if it has one
// that is young enough.
func (g *grounds) lookOut(ctx context.Context, r Reader, t Task) error {
	days, issued, err := r.Outlook(ctx, t.Site.Code, t.Now)
	if err != nil || t.Now.Sub(issued) > outlookAge {
		return err
	}
	for len(days) > 0 && days[0].Date < t.today() {
		days = days[1:]
	}
	g.outlook, g.foreseen = days, civil.At(issued.In(t.Site.Zone))
	return nil
}

func before(days []weather.Day, today civil.Date) []weather.Day {
	for len(days) > 0 && days[len(days)-1].Date >= today {
		days = days[:len(days)-1]
	}
	return days
}

func station(p *config.Programme, code string) config.Station {
	for _, st := range p.Stations {
		if st.Code == code {
			return st
		}
	}
	return config.Station{}
}

func living(trees []trail.Tree) (n int) {
	for _, t := range trees {
		if !t.Gone {
			n++
		}
	}
	return n
}
