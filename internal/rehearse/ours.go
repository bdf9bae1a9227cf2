package rehearse

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/degreeday"
	"budcall/internal/replay"
	"budcall/internal/schedule"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Budcall is the name of the plan on trial: the program itself.
const Budcall = "budcall"

// Ours says how the program is set up for a trial.
type Ours struct {
	Profile         stage.Profile
	Settings        season.Settings // of its calls
	WithoutForecast bool            // of the next ten days
	AltitudeUnknown bool            // the site is taken to lie at its station's altitude
	EarlierSprings  int             // whose reports it has, of the site, the latest first
	EarlierEvery    int             // days between the visits of those springs; 0: 4

	wholeYear bool // plays days too on which nothing can be told any more, or yet
}

// visitEvery is how often a lead looks at the trees in an earlier spring.
const visitEvery = 4

// FewestPastYears is how many earlier years of its station a site needs to be
// put on trial: with fewer the program borrows a neighbour's, which a trial
// doesn't have. Our assumption.
const FewestPastYears = 10

// stationCode and siteCode name what a season is played with.
const (
	stationCode = "HUT"
	siteCode    = "SITE"
	stationAtM  = 100 // altitude of the station; only differences to it matter
)

// template is the invented programme around the one site of a season, without
// site, station and weekdays. All times are UTC, as they are in the trial.
func template() (*config.Programme, error) {
	p := &config.Programme{
		Code: "TRIAL", Name: "Trial (invented)", Zone: time.UTC, Coordinator: string(Coordinator), Ops: "ops",
		Mail:      config.Mail{From: "trial@birches.example", Domain: "birches.example"},
		PublicURL: "https://birches.example",
	}
	for _, code := range []string{string(Lead), string(Deputy), string(Coordinator), "ops"} {
		p.People = append(p.People, config.Person{Code: code, Name: code, Email: code + "@birches.example", Zone: time.UTC, Lang: "en"})
	}
	for i, slot := range slots {
		spec := fmt.Sprintf("%d %d * * *", slot[1], slot[0])
		rule, err := schedule.Parse(spec, time.UTC)
		if err != nil {
			return nil, fmt.Errorf("the slots of the trial: %w", err)
		}
		if due := (config.Slot{Spec: spec, Rule: rule}); i < len(slots)-1 {
			p.Pull = append(p.Pull, due)
		} else {
			p.Evening = due
		}
	}
	return p, nil
}

// programme is the programme of one season.
func (o Ours) programme(base *config.Programme, s *Season) *config.Programme {
	p := *base
	p.Settings = o.Settings
	p.Profiles = map[string]stage.Profile{o.Profile.Key: o.Profile}
	p.Stations = []config.Station{{Code: stationCode, Name: s.Station, LatDeg: latitude(s.station), AltitudeM: stationAtM}}
	site := config.Site{
		Code: siteCode, Name: s.Site, LatDeg: latitude(s.station), AltitudeM: stationAtM + s.set.TreesAboveM, Zone: time.UTC,
		Profile: o.Profile.Key, Stations: []string{stationCode}, Lead: string(Lead), Deputy: string(Deputy), Settings: o.Settings,
	}
	if o.AltitudeUnknown {
		site.AltitudeM = stationAtM
	}
	if !o.WithoutForecast {
		site.Forecast = "ten-days"
		p.Forecasts = []config.Forecast{{Code: "ten-days"}}
	}
	for i := range s.Trees() {
		site.Trees = append(site.Trees, trail.Tree{Code: fmt.Sprintf("T-%03d", i+1), Short: short(i)})
	}
	p.Sites = []config.Site{site}
	p.People = slices.Clone(base.People)
	for i := range p.People {
		p.People[i].CanGo = s.canGo(Person(p.People[i].Code))
	}
	return &p
}

// latitude is a station's, or one of the middle of the region where it isn't
// known; only the hours of daylight hang on it.
func latitude(st Station) float64 {
	if math.IsNaN(st.LatitudeDeg) {
		return 60
	}
	return st.LatitudeDeg
}

func short(tree int) string { return fmt.Sprintf("T%d", tree+1) }

// canGo is the weekdays on which a person is free, as the person has told the
// program.
func (s *Season) canGo(p Person) season.Weekdays {
	h, ok := s.crew[p]
	if !ok {
		return 0
	}
	var days season.Weekdays
	for d, free := range h.free {
		if free {
			days = days.On(time.Weekday(d))
		}
	}
	return days
}

// series is what the station shows the program: earlier years as they were,
// this one with its gaps.
func (s *Season) series() (*replay.Series, error) {
	var days []weather.Day
	for _, year := range sortedYears(s.station.Means) {
		if year > s.Year {
			break
		}
		means := s.station.Means[year]
		if year == s.Year {
			means = s.observed
		}
		first := civil.Of(year, time.January, 1)
		for i, c := range means {
			if !math.IsNaN(c) {
				d := weather.Missing(first + civil.Date(i))
				d.MeanC = c
				days = append(days, d)
			}
		}
	}
	return replay.NewSeries(days)
}

// outlook is the short-range forecast of the morning of a day.
func (s *Season) outlook(_ context.Context, _ string, at time.Time) ([]weather.Day, time.Time, error) {
	today := civil.At(at.UTC())
	var days []weather.Day
	for i, c := range s.Forecast(today) {
		d := weather.Missing(today + civil.Date(i))
		d.MeanC = c
		days = append(days, d)
	}
	return days, today.In(time.UTC, 6, 0), nil
}

// earlier gives the reports of earlier springs of the site, oldest first.
func (o Ours) earlier(s *Season, of map[string][]*Season) []trail.Report {
	if o.EarlierSprings == 0 {
		return nil
	}
	var past []*Season
	for _, q := range of[s.Site] {
		if q.Year < s.Year {
			past = append(past, q)
		}
	}
	slices.SortFunc(past, func(a, b *Season) int { return a.Year - b.Year })
	past = past[max(0, len(past)-o.EarlierSprings):]
	every := o.EarlierEvery
	if every == 0 {
		every = visitEvery
	}
	var out []trail.Report
	for _, q := range past {
		w := walk{season: q}
		byDay := map[civil.Date][]Report{}
		var days []civil.Date
		for _, r := range q.Records(every) {
			if byDay[r.Day] == nil {
				days = append(days, r.Day)
			}
			byDay[r.Day] = append(byDay[r.Day], r)
		}
		for _, d := range days {
			for _, r := range w.stages(byDay[d], string(Lead), "") {
				r.At = d.In(time.UTC, visitHour, 0)
				out = append(out, r)
			}
		}
	}
	return out
}

// bySite lists a trial's seasons by site.
func bySite(seasons []*Season) map[string][]*Season {
	of := map[string][]*Season{}
	for _, s := range seasons {
		of[s.Site] = append(of[s.Site], s)
	}
	return of
}

// StagesOf gives what the truth takes from a profile. A stage counted by
// another method than daily means is an error: truth is drawn on means.
func StagesOf(p stage.Profile) ([]Stage, error) {
	var out []Stage
	for _, st := range p.Stages {
		if st.Heat.Rule.Method != degreeday.Mean {
			return nil, fmt.Errorf("profile %s counts stage %s by the method %q: rehearse a profile on daily means", p.Key, st.Code, st.Heat.Rule.Method)
		}
		out = append(out, Stage{Code: int(st.Code), BaseC: st.Heat.Rule.BaseC, Start: st.Heat.Start, MedianCd: st.MedianCd, LogSD: st.LogSD})
	}
	return out, nil
}
