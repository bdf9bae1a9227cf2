package app_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// looked reports a stage by the path that the command takes, and lets it be
// decided on.
func (p *play) looked(t *testing.T, kind trail.Kind, code stage.BBCH, day string) {
	t.Helper()
	b, err := app.Attach(t.Context(), app.Options{State: t.TempDir(), DSN: p.dsn})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close(context.WithoutCancel(t.Context()))
	_, stored, err := b.Report(t.Context(), app.Said{Site: "HOME", Person: "otso", Task: call.BagOn, Kind: kind, BBCH: code, Day: civil.MustParse(day)})
	if err != nil || !stored {
		t.Fatalf("%s %s of %s: %v %v", kind, code, day, stored, err)
	}
	now, _, err := p.DB().Clock(t.Context())
	if err == nil {
		err = p.StepTo(t.Context(), now)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func (p *play) scores(t *testing.T) (scores []stage.Score, record stage.Record) {
	t.Helper()
	err := p.DB().Read(t.Context(), func(b *postgres.Book) (err error) {
		if scores, err = b.Scores(t.Context(), "HOME", 2016); err == nil {
			record, err = b.Record(t.Context(), "HOME", 2016, p.Programme().Sites[0].Zone)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return scores, record
}

func leadsOf(scores []stage.Score) string {
	var out []string
	for _, s := range scores {
		out = append(out, fmt.Sprintf("%s:%d", s.Code, s.Lead))
	}
	return strings.Join(out, " ")
}

// shown looks for scores of bud break on the board, among the metrics and in
// the account of the call.
func (p *play) shown(t *testing.T, scores []stage.Score) {
	t.Helper()
	board := get(t, p.Address()+"/")
	scrape, err := p.Scrape(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	b, err := app.Attach(t.Context(), app.Options{State: t.TempDir(), DSN: p.dsn})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close(context.WithoutCancel(t.Context()))
	why, err := b.Why(t.Context(), "HOME", call.BagOn)
	if err != nil || len(why.Issued) < 15 || fmt.Sprint(why.Scores) != fmt.Sprint(scores) {
		t.Errorf("the account has %d forecasts and the scores %v: %v", len(why.Issued), why.Scores, err)
	}
	for where, text := range map[string]string{board: "How good the forecasts were", scrape: "budcall_forecasts_scored"} {
		if got := strings.Contains(where, text); got != (len(scores) > 0) {
			t.Errorf("%q is shown: %v", text, got)
		}
	}
	for _, s := range scores {
		series := fmt.Sprintf(`budcall_forecast_crps_seconds{by="forecast",lead="%dd",programme="ONE",stage="07"} %g`, s.Lead, s.CRPS*86400)
		if !strings.Contains(scrape, series) {
			t.Errorf("the metrics lack %s", series)
		}
		if line := words.For("en").ScoreLine(s.Lead, s.ErrorDays, s.Run()); (s.Lead == 7 || s.Lead == 14) && !strings.Contains(board, line) {
			t.Errorf("the board lacks %q", line)
		}
	}
}

// A season from 10 April on in which bud break is found not yet there, seen,
// taken back and seen again.
func TestForecastsAreScoredWhenTheirStageIsSeen(t *testing.T) {
	t.Parallel()
	p := begin(t, "2016-04-10", inventedStation(civil.MustParse("2016-12-01")), nil)
	until(t, p.App, "2016-05-01")
	p.looked(t, trail.NotYet, stage.BudBreak, "2016-05-01")
	if s, _ := p.scores(t); len(s) > 0 {
		t.Errorf("scored before the stage was seen: %+v", s)
	}
	until(t, p.App, "2016-05-06")
	p.looked(t, trail.StageSeen, stage.BudBreak, "2016-05-05")
	first, record := p.scores(t)
	if got, want := leadsOf(first), "07:21 07:14 07:7 07:3"; got != want { // the program began on 10 April, 25 days before
		t.Errorf("scored %s, want %s", got, want)
	}
	for _, s := range first {
		issued, ok := record.On(s.Code, s.Seen-civil.Date(s.Lead))
		if !ok || math.Abs(ensemble.CRPSBetween(issued.Days, s.NotYet, s.Seen)-s.CRPS) > 1e-9 || s.Seen != civil.MustParse("2016-05-05") || s.NotYet != civil.MustParse("2016-05-01") {
			t.Errorf("%+v isn't the score of what was issued that day, %v", s, ok)
		}
		if s.Basis != stage.BasisComputed || s.Past < 10 || math.IsNaN(s.CRPSMeanDate) || math.IsNaN(s.CRPSRegression) { // 14 past years of the station
			t.Errorf("baselines %+v", s)
		}
	}
	p.shown(t, first)
	until(t, p.App, "2016-05-08")
	if again, _ := p.scores(t); fmt.Sprint(again) != fmt.Sprint(first) {
		t.Errorf("days without a report changed the scores:\n%+v\n%+v", again, first)
	}
	p.looked(t, trail.NotYet, stage.BudBreak, "2016-05-07") // it wasn't bud break after all
	p.shown(t, nil)
	if s, _ := p.scores(t); len(s) > 0 {
		t.Errorf("what was taken back is still scored: %+v", s)
	}
	until(t, p.App, "2016-05-14")
	p.looked(t, trail.StageSeen, stage.BudBreak, "2016-05-14")
	corrected, _ := p.scores(t)
	// The forecast of 7 May, 7 days before, was cut at the sight that was taken back.
	if got, want := leadsOf(corrected), "07:28 07:21 07:14 07:3"; got != want {
		t.Errorf("after the correction scored %s, want %s", got, want)
	}
	for _, s := range corrected {
		if s.Seen != civil.MustParse("2016-05-14") || s.NotYet != civil.MustParse("2016-05-07") {
			t.Errorf("%+v isn't of the corrected day", s)
		}
	}
}

// Where three past seasons were reported, the baselines are made of these.
func TestReportedSeasonsMakeTheBaselines(t *testing.T) {
	t.Parallel()
	p := begin(t, "2016-04-10", inventedStation(civil.MustParse("2016-12-01")), nil)
	for year := 2013; year <= 2015; year++ {
		day := civil.Of(year, 5, 2+year%3)
		_, err := p.DB().Report(t.Context(), fmt.Sprint("past", year), year, []trail.Report{{
			Person: "otso", Site: "HOME", Task: string(call.BagOn), Kind: trail.StageSeen, BBCH: 7, Day: day, At: day.Midnight(), Way: "command",
		}}, postgres.Plan{Run: postgres.Run{Name: "report", Day: day, Nominal: fmt.Sprint(year), Due: day.Midnight(), At: day.Midnight()}, Beside: true})
		if err != nil {
			t.Fatal(err)
		}
	}
	until(t, p.App, "2016-05-06")
	p.looked(t, trail.StageSeen, stage.BudBreak, "2016-05-05")
	s, _ := p.scores(t)
	if len(s) == 0 || s[0].Basis != stage.BasisSeen || s[0].Past != 3 {
		t.Errorf("%+v", s)
	}
}
