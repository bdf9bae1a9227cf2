package demo

import (
	"context"
	"fmt"
	"slices"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/chart"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
	"budcall/internal/words"
)

// picture draws the season of a site.
func picture(ctx context.Context, a *app.App, r *record) ([]byte, error) {
	s := chart.Season{Site: r.site.Name, Year: seasonYear, Lang: "en"}
	profile := a.Programme().Profiles[r.site.Profile]
	days, err := measured(ctx, a, r.site)
	if err != nil {
		return nil, fmt.Errorf("drawing %s: %w", r.site.Code, err)
	}
	for _, st := range profile.Stages {
		if !drawn(st.Code) {
			continue
		}
		h := chart.Heat{Stage: st.Code, Name: st.Name, NeedCd: st.MedianCd}
		for day := st.Heat.Start.In(seasonYear); day < lastDay; day++ {
			sum, _ := stage.HeatSoFar(st, seasonYear, days, day)
			h.Points = append(h.Points, chart.HeatPoint{Date: day, SumCd: sum})
		}
		s.Heat = append(s.Heat, h)
		t := chart.Track{Stage: st.Code, Name: st.Name}
		for _, f := range r.issued {
			if f.Code == st.Code && !r.settled(f) {
				t.Points = append(t.Points, chart.TrackPoint{Issued: f.On, P10: f.P10, P50: f.P50, P90: f.P90})
			}
		}
		s.Narrowing = append(s.Narrowing, t)
	}
	s.Calls = spans(r.tellings)
	s.Reports = marks(r.reports)
	return chart.Site(s), nil
}

// settled tells whether a forecast was issued when its stage was over, or
// nobody waited for it any more.
func (r *record) settled(f postgres.Issued) bool {
	if f.Code == stage.SeedRipe {
		for _, day := range r.daysOf(trail.Picked, trail.NothingToPick) {
			if f.On > day {
				return true
			}
		}
	}
	return f.P90 != 0 && f.On > f.P90
}

// drawn are the stages that a call hangs on.
func drawn(code stage.BBCH) bool {
	switch code {
	case stage.BudSwelling, stage.BudBreak, stage.Flowering, stage.FloweringOver, stage.SeedRipe:
		return true
	}
	return false
}

// measured is a site's days as the program had them in the end.
func measured(ctx context.Context, a *app.App, site config.Site) (days []weather.Day, err error) {
	w := weather.Site{AltitudeM: site.AltitudeM, Need: weather.NeedMean, MaxGapDays: 365}
	year := civil.Range{First: civil.Of(seasonYear, 1, 1), Last: lastDay}
	err = a.DB().Read(ctx, func(b *postgres.Book) error {
		for _, code := range site.Stations {
			of, err := b.Days(ctx, code, year.First, year.Last)
			if err != nil {
				return err
			}
			for _, st := range a.Programme().Stations {
				if st.Code == code {
					w.Ranked = append(w.Ranked, weather.Series{Station: code, AltitudeM: st.AltitudeM, Days: of})
				}
			}
		}
		return nil
	})
	for _, d := range w.Fill(year) {
		days = append(days, d.Day)
	}
	return days, err
}

// spans is the days of each call as they were told: those of a "last days"
// mail are the ones left by then.
func spans(tellings []telling) (out []chart.Span) {
	for _, t := range tellings {
		switch t.standing {
		case call.Done, call.NotNeeded, call.Quiet:
			continue
		case call.Hurry, call.LookFirst:
			t.days.First = max(t.days.First, min(civil.At(t.at), t.days.Last))
		}
		out = append(out, chart.Span{Task: t.call, Standing: t.standing, Days: t.days})
	}
	return out
}

// marks is the reports in words: what was reported alike of several trees is
// said once.
func marks(reports []trail.Report) (out []chart.Mark) {
	cat := words.For("en")
	var order []trail.Report // with neither tree nor what differs from report to report
	trees := map[trail.Report][]string{}
	for _, r := range reports {
		if r.Kind.Answer() {
			continue
		}
		alike := trail.Report{Kind: r.Kind, BBCH: r.BBCH, Selfing: r.Selfing, Control: r.Control, Day: r.Day}
		if _, known := trees[alike]; !known {
			order, trees[alike] = append(order, alike), nil
		}
		if r.Tree != "" && !slices.Contains(trees[alike], r.Tree) {
			trees[alike] = append(trees[alike], r.Tree)
		}
	}
	for _, r := range order {
		out = append(out, chart.Mark{Date: r.Day, Text: said(cat, r, trees[r])})
	}
	return out
}

// said is a report in words, of the trees named, or of the site.
func said(cat *words.Catalogue, r trail.Report, trees []string) string {
	args := words.Args{"tree": cat.List(trees), "stage": cat.Stage(r.BBCH)}
	switch r.Kind {
	case trail.BagsOn:
		args["bags"] = cat.List([]string{cat.Count(words.SelfingBags, r.Selfing), cat.Count(words.ControlBags, r.Control)})
	case trail.Picked:
		args["packets"] = cat.List([]string{cat.Count(words.ReportSelfingPacket, r.Selfing), cat.Count(words.ReportControlPacket, r.Control)})
	case trail.NothingToPick:
		if len(trees) == 0 {
			return cat.Text(words.ReportNothingAtAll)
		}
	}
	if k, ok := sayings[r.Kind]; ok {
		return cat.Text(k, args)
	}
	return string(r.Kind)
}

// sayings is how reports are said.
var sayings = map[trail.Kind]words.Key{
	trail.StageSeen:     words.ReportStageSeen,
	trail.NotYet:        words.ReportNotYet,
	trail.BagsOn:        words.ReportBagsOn,
	trail.BagsOff:       words.ReportBagsOff,
	trail.Picked:        words.ReportPicked,
	trail.NothingToPick: words.ReportNothing,
	trail.SeedBrown:     words.ReportSeedBrown,
	trail.SeedGreen:     words.ReportSeedGreen,
	trail.KitArrived:    words.ReportKit,
	trail.Understood:    words.ReportUnderstood,
}

// dayMonth writes a day shortly: "3 May".
func dayMonth(d civil.Date) string {
	if d == 0 {
		return "-"
	}
	return d.In(time.UTC, 0, 0).Format("2 Jan")
}
