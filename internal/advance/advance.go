// Package advance is the job that carries a site on by a day: readings in,
// heat, forecasts, standings of its calls and what is owed because of them.
package advance

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Reader is what the job needs of the memory.
type Reader interface {
	History(ctx context.Context, station string, from, to int) ([]weather.Day, error)
	// HistoryMark gives a text that changes whenever a day of one of the stations
	// does that lies before a year. It is to be cheap.
	HistoryMark(ctx context.Context, stations []string, before int) (string, error)
	// PastReports gives what was seen, or not yet seen, at sites in the seasons
	// before a year, in the order in which it came.
	PastReports(ctx context.Context, sites []string, before int) ([]trail.Report, error)
	// PastReportsMark gives a text that changes whenever PastReports of any site
	// does, empty where there are none. It is to be cheap.
	PastReportsMark(ctx context.Context, before int) (string, error)
	Outlook(ctx context.Context, site string, at time.Time) ([]weather.Day, time.Time, error)
	// Winds gives a station's winds of some days, sorted, and OutlookWinds those
	// of the forecast that Outlook gives.
	Winds(ctx context.Context, station string, over civil.Range) ([]weather.Wind, error)
	OutlookWinds(ctx context.Context, site string, at time.Time) ([]weather.Wind, error)
	Reports(ctx context.Context, site string, year int) ([]trail.Report, error)
	Calls(ctx context.Context, site string, year int) (map[call.Task]season.State, error)
	Returned(ctx context.Context, site string, year int) (map[call.Task]time.Time, error)
	// Untold gives what is owed about a site's season and in no letter yet.
	Untold(ctx context.Context, site string, year int) ([]notice.Due, error)
}

// Task is one site to be carried on.
type Task struct {
	Programme *config.Programme // not to be changed while it is in use
	Site      config.Site
	Now       time.Time // the program's time; nothing later is looked at
	Evening   bool      // what can wait for the evening is told now
	Memo      *Memo     // keeps what past years tell; nil works it out each time
	// Link gives the signed link to a call's form and the last day on which it works.
	Link func(person, site string, task call.Task, season int, last civil.Date) (string, civil.Date)
}

func (t Task) today() civil.Date { return civil.At(t.Now.In(t.Site.Zone)) }

// Issued is one stage's forecast as issued today.
type Issued struct {
	Code stage.BBCH
	Days ensemble.Days
}

// Verdict is what a day makes of a site.
type Verdict struct {
	Season  int
	Today   civil.Date
	Issued  []Issued
	Before  map[call.Task]season.State
	Outcome season.Outcome
	Items   []notice.Item  // one for each of Outcome.Owed, in its order
	Again   []notice.Due   // owed since an earlier day and not yet told, as it is today
	Reports []trail.Report // of the season, that it was decided on

	Warnings []string // for the ops person, each ending in what to do
}

// Unfit is a site that can't be carried on as it is set up or for want of
// data; a person must do something. The memory is well.
type Unfit struct {
	Site string
	Err  error
}

func (u *Unfit) Error() string { return fmt.Sprintf("site %s can't be forecast: %v", u.Site, u.Err) }
func (u *Unfit) Unwrap() error { return u.Err }

// Site carries a site on. An *Unfit says that this site can't be.
func Site(ctx context.Context, r Reader, t Task) (Verdict, error) {
	g, err := ground(ctx, r, t)
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{Season: g.year, Today: t.today(), Reports: g.reports, Warnings: g.lore.warnings}
	if v.Before, err = r.Calls(ctx, t.Site.Code, g.year); err != nil {
		return Verdict{}, err
	}
	returned, err := r.Returned(ctx, t.Site.Code, g.year)
	if err != nil {
		return Verdict{}, err
	}
	forecast, err := g.forecastAgain(t)
	if err != nil {
		return Verdict{}, &Unfit{Site: t.Site.Code, Err: err}
	}
	v.Issued = forecast.issued
	winds, err := g.winds(ctx, r, t)
	if err != nil {
		return Verdict{}, err
	}
	facts := season.Facts{
		Site: seasonSite(t, g.year), Now: t.Now, Day: v.Today, Evening: t.Evening,
		Forecast: forecast.stands, Reports: g.reports, Calls: v.Before, Returned: returned, Winds: winds,
		Blind: g.blind(t, v.Before),
	}
	v.Outcome = season.Decide(facts)
	facts.Forecast = forecast.said
	for _, o := range v.Outcome.Owed {
		v.Items = append(v.Items, item(t, g, facts, v.Outcome, o))
	}
	v.Again, err = untold(ctx, r, t, g, facts, v.Outcome)
	return v, err
}

// seasonSite is the site as the rules of the season see it.
func seasonSite(t Task, year int) season.Site {
	s, p := t.Site, t.Programme
	return season.Site{
		Code: s.Code, Season: year, LatDeg: s.LatDeg, LonDeg: s.LonDeg, Trees: s.Trees, Settings: s.Settings,
		Field: people(p, s.Lead, s.Deputy, p.Coordinator, p.CoordinatorDeputy),
		Desk:  people(p, p.Coordinator, p.CoordinatorDeputy),
		Lab:   people(p, p.Laboratory, p.Coordinator, p.CoordinatorDeputy),
	}
}

// people gives the people under the codes, each once, in order.
func people(p *config.Programme, codes ...string) []season.Person {
	var out []season.Person
	seen := map[string]bool{"": true}
	for _, code := range codes {
		if who, known := p.Person(code); known && !seen[code] {
			out = append(out, season.Person{Code: code, CanGo: who.CanGo, Away: who.Away, Zone: who.Zone})
		}
		seen[code] = true
	}
	return out
}
