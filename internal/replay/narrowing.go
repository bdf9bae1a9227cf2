package replay

import (
	"context"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Narrowed is how the forecast of a stage at a site narrowed.
type Narrowed struct {
	Site string
	Code stage.BBCH
	Name string
	Came civil.Date // the day reported, else the last forecast's median; zero: neither
	Seen bool       // it was reported
	At   []Lead     // as many as were asked for, in their order
}

// Lead is a forecast as it was so many days before the stage came.
type Lead struct {
	Days          int
	Issued        civil.Date // zero: none was issued that day
	P10, P50, P90 civil.Date // zero: beyond the horizon
}

// Narrowing gives, for every stage of every site, the forecasts as they were
// issued so many days before it came.
func (s *Season) Narrowing(ctx context.Context, p *config.Programme, year int, leads []int) (out []Narrowed, err error) {
	for _, site := range p.Sites {
		r, err := s.memory.Record(ctx, site.Code, year, site.Zone)
		if err != nil {
			return nil, err
		}
		reports := s.Reports(site.Code, year)
		for _, st := range p.Profiles[site.Profile].Stages {
			n := Narrowed{Site: site.Code, Code: st.Code, Name: st.Name, Came: stage.BoundsOf(reports, st.Code).Seen}
			if n.Seen = n.Came != 0 && seenItself(reports, st.Code); !n.Seen {
				n.Came = lastMedian(r, st.Code)
			}
			for _, days := range leads {
				n.At = append(n.At, leadOf(r, st.Code, n.Came, days))
			}
			out = append(out, n)
		}
	}
	return out, nil
}

// seenItself tells a stage that was reported from one that was only passed by
// a later one.
func seenItself(reports []trail.Report, code stage.BBCH) bool {
	return slices.ContainsFunc(reports, func(r trail.Report) bool {
		return r.Kind == trail.StageSeen && stage.BBCH(r.BBCH) == code
	})
}

// lastMedian is the median of a stage's last forecast; zero where it is beyond
// the horizon, or there is none.
func lastMedian(r stage.Record, code stage.BBCH) (median civil.Date) {
	for _, i := range r.Issued { // oldest first
		if i.Code == code {
			median, _ = i.Days.Quantile(0.5)
		}
	}
	return median
}

func leadOf(r stage.Record, code stage.BBCH, came civil.Date, days int) Lead {
	l := Lead{Days: days}
	i, ok := r.On(code, came-civil.Date(days))
	if came == 0 || !ok {
		return l
	}
	l.Issued = came - civil.Date(days)
	l.P10, _ = i.Days.Quantile(0.1)
	l.P50, _ = i.Days.Quantile(0.5)
	l.P90, _ = i.Days.Quantile(0.9)
	return l
}

// Readings gives what a station had shown of a year by now, marked days
// included. It is only to be read.
func (s *Season) Readings(ctx context.Context, station string, year int) ([]weather.Day, error) {
	return s.memory.History(ctx, station, year, year)
}

// Measured gives what a site's stations had shown of a year by now, carried to
// the site, up to a day.
func (s *Season) Measured(ctx context.Context, p *config.Programme, site config.Site, through civil.Date) ([]weather.Day, error) {
	w := weather.Site{AltitudeM: site.AltitudeM, Need: weather.NeedMean, MaxGapDays: 365}
	for _, code := range site.Stations {
		days, err := s.Readings(ctx, code, through.Year())
		if err != nil {
			return nil, err
		}
		for _, st := range p.Stations {
			if st.Code == code {
				w.Ranked = append(w.Ranked, weather.Series{Station: code, AltitudeM: st.AltitudeM, Days: days})
			}
		}
	}
	var out []weather.Day
	for _, d := range w.Fill(civil.Range{First: civil.Of(through.Year(), 1, 1), Last: through}) {
		out = append(out, d.Day)
	}
	return out, nil
}

// Troubles gives what the ops person must look after now, sorted.
func (s *Season) Troubles() []string { return s.memory.standing() }
