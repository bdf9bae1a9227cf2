package app_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/postgres"
)

// A season of an invented station, from the middle of April to a day in June:
// planning, kit, bagging reported on 9 May, taking off.
const (
	seasonFrom = "2016-04-10"
	bagsOn     = "2016-05-09"
	seasonTo   = "2016-06-12"
)

// No forecast, standing or mail may depend on anything later than its day: the
// season is played on the true file, and on two in which everything from the
// last day on is nonsense. No forecast service answers.
func TestNothingThatWasIssuedDependsOnTheFuture(t *testing.T) {
	t.Parallel()
	day := civil.MustParse(seasonTo)
	past := inventedStation(day)
	var hot, garbage strings.Builder
	for d := day; d < day+120; d++ {
		fmt.Fprintf(&hot, "%s,38.0,42.0,40.0\n", d)
		fmt.Fprintf(&garbage, "%s,%.1f,-%.1f,99\n", d, 30.0, 30.0)
		if d%3 == 0 {
			fmt.Fprintf(&garbage, "%s;;x\n\x01\n", d)
		}
	}
	said := make([]string, 3)
	t.Run("seasons", func(t *testing.T) {
		for i, future := range []string{inventedStation(day + 120)[len(past):], hot.String(), garbage.String()} {
			t.Run(fmt.Sprint(i), func(t *testing.T) {
				t.Parallel()
				p := begin(t, seasonFrom, past+future, hook(t))
				until(t, p.App, bagsOn)
				p.bagAll(t)
				until(t, p.App, seasonTo)
				said[i] = p.said(t)
			})
		}
	})
	seasonIsWorthComparing(t, said[0])
	alike(t, "with 40 °C from the day on", said[0], said[1])
	alike(t, "with garbage from the day on", said[0], said[2])
}

// seasonIsWorthComparing guards against two seasons being equal because
// nothing happened in them.
func seasonIsWorthComparing(t *testing.T, said string) {
	t.Helper()
	for _, part := range []string{"letter mail otso", "letter mail maia", "letter webhook lab", "change HOME bag on", "change HOME take off", "reading MET 2016-06-11"} {
		if !strings.Contains(strings.ReplaceAll(said, " 00:00:00 +0000 UTC", ""), part) {
			t.Errorf("in this season there is no %q:\n%.3000s", part, said)
		}
	}
	if n := strings.Count(said, "forecast HOME"); n < 100 {
		t.Errorf("only %d forecasts were issued", n)
	}
}

func TestADaysSlotsAgainChangeNothing(t *testing.T) {
	t.Parallel()
	p := begin(t, "2016-04-20", inventedStation(civil.MustParse("2016-12-01")), hook(t))
	for _, day := range []string{"2016-04-21", "2016-05-02", "2016-05-05"} {
		until(t, p.App, day)
		before := p.said(t)
		now, _, err := p.DB().Clock(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"pull", "evening", "pull"} {
			again := postgres.Plan{
				Run: postgres.Run{Name: name, Day: civil.At(now), Nominal: "again " + time.Now().String(), Due: now, At: now},
				Pieces: map[postgres.Phase][]string{
					postgres.Pull: {"station:MET"}, postgres.Advance: {"HOME"}, postgres.Tell: {"all"},
				},
			}
			if ok, err := p.DB().Begin(t.Context(), again); err != nil || !ok {
				t.Fatalf("begun %v: %v", ok, err)
			}
			if err := p.StepTo(t.Context(), now); err != nil {
				t.Fatal(err)
			}
			alike(t, "after "+name+" again on "+day, before, p.said(t))
		}
	}
}

// The end of a season and of a year: nobody is waited for in a season that is
// over, and December's rows go into the past year once, with none lost.
func TestASeasonAndAYearEnd(t *testing.T) {
	t.Parallel()
	p := begin(t, "2016-09-27", inventedStation(civil.MustParse("2017-06-01")), nil)
	until(t, p.App, "2016-10-02")
	if n := ask(t, p.dsn, `select count(*) from site_call where answer_by is not null`); strings.TrimSpace(n) != "0" {
		t.Errorf("after the season's end %s answers are waited for", n)
	}
	q := begin(t, "2016-12-30", inventedStation(civil.MustParse("2017-06-01")), nil)
	until(t, q.App, "2017-01-03")
	err := q.DB().Read(t.Context(), func(b *postgres.Book) error {
		days, err := b.History(t.Context(), "MET", 2016, 2017)
		for i, d := range days {
			if d.Date != civil.Of(2016, 1, 1)+civil.Date(i) || d.MeanC != inventedMean(d.Date) {
				t.Errorf("day %d of the history is %+v", i, d)
				break
			}
		}
		if len(days) != 366+2 { // 2016 was a leap year; 3 January isn't over
			t.Errorf("%d days, the last %s", len(days), days[len(days)-1].Date)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if open, err := q.DB().Troubles(t.Context()); err != nil || len(open) > 0 {
		t.Errorf("troubles %v, %v", open, err)
	}
}
