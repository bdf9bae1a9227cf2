package advance

import (
	"context"
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/season"
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
	past     []ensemble.Mean                     // of earlier years, sorted
	observed []weather.Day                       // of the running year, up to yesterday
	members  map[civil.MonthDay]ensemble.Members // by start, made when first needed
	reports  []trail.Report
	outlook  []weather.Day   // short-range forecast, from today on
	foreseen civil.Date      // the day on which it was issued
	last     weather.SiteDay // last real reading of the running year
}

func ground(ctx context.Context, r Reader, t Task) (*grounds, error) {
	today := t.today()
	g := &grounds{year: today.Year(), members: map[civil.MonthDay]ensemble.Members{}}
	profile, ok := t.Programme.Profiles[t.Site.Profile]
	if !ok {
		return g, &Unfit{Site: t.Site.Code, Err: fmt.Errorf("no profile is called %q: name one of those in profiles/", t.Site.Profile)}
	}
	g.profile = profile
	site := weather.Site{AltitudeM: t.Site.AltitudeM, Need: weather.NeedMean, MaxGapDays: maxGapDays}
	for _, code := range t.Site.Stations {
		st := station(t.Programme, code)
		days, err := r.History(ctx, code, g.year-pastYears, g.year)
		if err != nil {
			return g, err
		}
		site.Ranked = append(site.Ranked, weather.Series{
			Station: code, AltitudeM: st.AltitudeM, Days: before(days, today),
			ErrSDC: weather.ErrorSDC(distanceKm(t.Site, st), st.AltitudeM-t.Site.AltitudeM),
		})
	}
	g.split(site.Fill(civil.Range{First: civil.Of(g.year-pastYears, 1, 1), Last: today - 1}))
	reports, err := r.Reports(ctx, t.Site.Code, g.year)
	if err != nil {
		return g, err
	}
	g.reports = reports
	if t.Site.Forecast != "" {
		if err = g.lookOut(ctx, r, t); err != nil {
			return g, err
		}
	}
	return g, nil
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

// distanceKm is the great-circle distance on a sphere of 6371 km (haversine
// formula, from memory).
func distanceKm(s config.Site, st config.Station) float64 {
	rad := math.Pi / 180
	sin2 := func(deg float64) float64 { v := math.Sin(deg * rad / 2); return v * v }
	h := sin2(st.LatDeg-s.LatDeg) + math.Cos(s.LatDeg*rad)*math.Cos(st.LatDeg*rad)*sin2(st.LonDeg-s.LonDeg)
	return 2 * 6371 * math.Asin(math.Sqrt(min(1, h)))
}

// split parts a site's series into what past years give and what this one has
// shown so far.
func (g *grounds) split(series []weather.SiteDay) {
	first := civil.Of(g.year, 1, 1)
	for _, d := range series {
		if d.Day.Date >= first {
			g.observed = append(g.observed, d.Day)
			if d.Station != "" {
				g.last = d
			}
			continue
		}
		if c, _, ok := d.Day.Mean(); ok {
			g.past = append(g.past, ensemble.Mean{Date: d.Day.Date, MeanC: c})
		}
	}
}

// forecast issues the distribution of every stage, truncated by what was
// reported of it, and gives what the calls need of them.
func (g *grounds) forecast(t Task) (season.Forecast, []Issued, error) {
	issue := func(st stage.Stage) (ensemble.Days, error) { return g.distribution(st, t.today()) }
	var f season.Forecast
	var issued []Issued
	for _, st := range g.profile.Stages {
		d, err := issue(st)
		if err != nil {
			return f, nil, err
		}
		bounds := stage.BoundsOf(g.reports, st.Code)
		d = stage.Truncate(d, bounds)
		issued = append(issued, Issued{Code: st.Code, Days: d})
		switch st.Code {
		case stage.BudSwelling:
			f.Swelling = d
		case stage.BudBreak:
			f.Break, f.BreakSeen, f.LastLook = d, bounds.Seen, bounds.NotYet
			early, err := issue(stage.Earliest(st, living(t.Site.Trees)))
			if err != nil {
				return f, nil, err
			}
			f.Earliest = stage.Truncate(early, bounds)
		case stage.Flowering:
			f.Flowering = d
		case stage.FloweringOver:
			f.Over = d
		case stage.SeedRipe:
			f.Ripe = d
			shed, err := issue(stage.Shift(st, t.Site.Settings.ShedAfterCd))
			if err != nil {
				return f, nil, err
			}
			f.Shed = shed
		}
	}
	return f, issued, nil
}

func living(trees []trail.Tree) (n int) {
	for _, t := range trees {
		if !t.Gone {
			n++
		}
	}
	return n
}
