package postgres

import (
	"fmt"
	"math"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func reading(day string, meanC float64) weather.Day {
	return weather.Day{Date: civil.MustParse(day), MinC: meanC - 4, MaxC: meanC + 5, MeanC: meanC}
}

// store stores what a station brought in a run of its own.
func store(t *testing.T, db *DB, at time.Time, days ...weather.Day) {
	t.Helper()
	run := begun(t, db, plan("pull", at.String(), map[Phase][]string{Pull: {"station:MET"}}))
	must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "station:MET"), weather.Haul{
		Source: weather.Source{Name: "station:MET", Class: "station"}, At: at, OpenYear: at.Year(), Days: days,
	}))
	if got := phaseOf(t, db, run); got != "done" {
		t.Fatalf("the pull stands at %s", got)
	}
}

// history gives the means of 2029 to 2032 as words.
func history(t *testing.T, db *DB) (words string) {
	t.Helper()
	must(t, db.Read(t.Context(), func(b *Book) error {
		days, err := b.History(t.Context(), "MET", 2029, 2032)
		for _, d := range days {
			words += fmt.Sprintf("%s %.2f%s ", d.Date, d.MeanC, d.Mark)
		}
		return err
	}))
	return words
}

// written tells when each row was last written, by PostgreSQL's own count.
func written(t *testing.T, db *DB) string {
	t.Helper()
	return one[string](t, db, `select coalesce((select string_agg(day || ' ' || xmin, ',' order by day) from station_day), '')
		|| coalesce((select string_agg(year || ' ' || xmin, ',' order by year) from station_year), '')`)
}

func TestReadingsThatSayTheSameAgainAreNotWrittenAgain(t *testing.T) {
	db := memory(t)
	days := []weather.Day{reading("2029-05-01", 7), reading("2030-05-01", 8), reading("2031-04-18", 5), reading("2031-04-19", 6)}
	days[2].MinC = math.NaN() // what is missing is equal to what is missing
	store(t, db, noon, days...)
	first := written(t, db)
	store(t, db, noon.Add(time.Hour), days...)
	if again := written(t, db); again != first || again == "" {
		t.Errorf("first %s\nthen  %s", first, again)
	}
	if n := one[int](t, db, `select count(*) from station_day_before`); n != 0 {
		t.Errorf("%d rows were superseded by themselves", n)
	}
	if got, want := history(t, db), "2029-05-01 7.00 2030-05-01 8.00 2031-04-18 5.00 2031-04-19 6.00 "; got != want {
		t.Errorf("history\n%s\nwant\n%s", got, want)
	}
}

func TestACorrectionSupersedesAndWhatItSaidIsKept(t *testing.T) {
	db := memory(t)
	store(t, db, noon, reading("2031-04-18", 5), reading("2031-04-19", 6))
	marked := reading("2031-04-19", 71) // looks wrong: it doesn't take a good reading's place
	marked.Mark = weather.OutOfRange
	store(t, db, noon.Add(time.Hour), reading("2031-04-18", 5.5), marked)
	if got, want := history(t, db), "2031-04-18 5.50 2031-04-19 6.00 "; got != want {
		t.Errorf("history\n%s\nwant\n%s", got, want)
	}
	kept := one[string](t, db, `select string_agg(day || ' ' || mean_c || ' until ' || to_char(superseded_at, 'HH24:MI'), ', ' order by day) from station_day_before`)
	if want := "2031-04-18 5 until 13:00"; kept != want {
		t.Errorf("kept %s, want %s", kept, want)
	}
}

func TestAPastYearTakesMoreDaysAndCorrections(t *testing.T) {
	db := memory(t)
	store(t, db, noon, reading("2029-05-01", 7), reading("2029-05-02", 8))
	store(t, db, noon.Add(time.Hour), reading("2029-05-02", 8.25), reading("2029-05-03", 9))
	if got, want := history(t, db), "2029-05-01 7.00 2029-05-02 8.25 2029-05-03 9.00 "; got != want {
		t.Errorf("history\n%s\nwant\n%s", got, want)
	}
}

// At New Year the running year's rows become a past year's: a correction that
// comes then must not be outlived by the row it corrects.
func TestACorrectionAfterNewYearReachesTheHistory(t *testing.T) {
	db := memory(t)
	store(t, db, noon, reading("2031-04-18", 5), reading("2031-04-19", 6))
	january := time.Date(2032, 1, 3, 6, 0, 0, 0, time.UTC)
	store(t, db, january, reading("2031-04-19", 6.5), reading("2032-01-02", -3))
	if got, want := history(t, db), "2031-04-18 5.00 2031-04-19 6.50 2032-01-02 -3.00 "; got != want {
		t.Errorf("history\n%s\nwant\n%s", got, want)
	}
	if got := one[string](t, db, `select string_agg(day || ' ' || mean_c, ',') from station_day_before`); got != "2031-04-19 6" {
		t.Errorf("kept %q", got)
	}
}

func TestAFailureLeavesWhatWasKnown(t *testing.T) {
	db := memory(t)
	store(t, db, noon, reading("2031-04-18", 5))
	run := begun(t, db, plan("pull", "failing", map[Phase][]string{Pull: {"station:MET"}}))
	src, err := db.Source(t.Context(), "station:MET")
	must(t, err)
	src.Failures++
	must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "station:MET"), weather.Haul{
		Source: src, At: noon.Add(time.Hour), OpenYear: 2031, Error: "garbled", RetryAt: noon.Add(2 * time.Hour),
	}))
	if got, want := history(t, db), "2031-04-18 5.00 "; got != want {
		t.Errorf("history %s, want %s", got, want)
	}
	for at, want := range map[time.Time]int{noon.Add(119 * time.Minute): 0, noon.Add(2 * time.Hour): 1} {
		due, err := db.DueSources(t.Context(), at)
		must(t, err)
		if len(due) != want {
			t.Errorf("at %s due: %v", at, due)
		}
	}
	if at := one[time.Time](t, db, `select answered_at from source`); !at.Equal(noon) {
		t.Errorf("it last answered at %s", at)
	}
}

func TestTheNewestOutlookThatWasKnownIsGiven(t *testing.T) {
	db := memory(t)
	for i, meanC := range []float64{4, 9} {
		run := begun(t, db, plan("pull", fmt.Sprint(i), map[Phase][]string{Pull: {"outlook:HOME"}}))
		at := noon.Add(time.Duration(i) * 12 * time.Hour)
		must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "outlook:HOME"), weather.Haul{
			Source: weather.Source{Name: "outlook:HOME", Class: "outlook"}, At: at, OpenYear: 2031, Outlook: "HOME", IssuedAt: at,
			Days: []weather.Day{reading("2031-04-21", meanC), reading("2031-04-22", meanC)},
		}))
	}
	for _, row := range []struct {
		at   time.Time
		want string
	}{
		{noon.Add(-time.Second), "0 days"},
		{noon, "2 days of 4 from 2031-04-20 12:00"},
		{noon.Add(24 * time.Hour), "2 days of 9 from 2031-04-21 00:00"},
	} {
		must(t, db.Read(t.Context(), func(b *Book) error {
			days, issued, err := b.Outlook(t.Context(), "HOME", row.at)
			got := fmt.Sprintf("%d days", len(days))
			if len(days) > 0 {
				got += fmt.Sprintf(" of %.0f from %s", days[0].MeanC, issued.Format("2006-01-02 15:04"))
			}
			if got != row.want {
				t.Errorf("at %s: %s, want %s", row.at, got, row.want)
			}
			return err
		}))
	}
}

// provisional is a day read up to now.
func provisional(day string, meanC float64) weather.Day {
	d := reading(day, meanC)
	d.Provisional, d.MeanOf = true, weather.MeanReadings
	return d
}

func TestAProvisionalDayGivesWayToTheFinalOne(t *testing.T) {
	marked := reading("2031-04-19", 71)
	marked.Mark = weather.OutOfRange
	for _, row := range []struct {
		sentence    string
		first, then weather.Day
		want, kept  string
	}{
		{"the final one takes its place, and what it said is kept", provisional("2031-04-19", 5), reading("2031-04-19", 6), "2031-04-19 6.00 ", "2031-04-19 5 provisional"},
		{"even one that looks wrong does", provisional("2031-04-19", 5), marked, "2031-04-19 71.00out of range ", "2031-04-19 5 provisional"},
		{"a later provisional one does", provisional("2031-04-19", 5), provisional("2031-04-19", 5.5), "2031-04-19 5.50 ", "2031-04-19 5 provisional"},
		{"a provisional one never takes a final one's place", reading("2031-04-19", 6), provisional("2031-04-19", 5), "2031-04-19 6.00 ", "-"},
		{"the same values, once final, are no correction", provisional("2031-04-19", 5), reading("2031-04-19", 5), "2031-04-19 5.00 ", "-"},
	} {
		db := memory(t)
		store(t, db, noon, row.first)
		store(t, db, noon.Add(time.Hour), row.then)
		if got := history(t, db); got != row.want {
			t.Errorf("%s: %s, want %s", row.sentence, got, row.want)
		}
		kept := one[string](t, db, `select coalesce(string_agg(day || ' ' || mean_c || case when provisional then ' provisional' else '' end, ', '), '-') from station_day_before`)
		if kept != row.kept {
			t.Errorf("%s: kept %s, want %s", row.sentence, kept, row.kept)
		}
		want := row.then.Provisional && row.first.Provisional
		must(t, db.Read(t.Context(), func(b *Book) error {
			days, err := b.History(t.Context(), "MET", 2031, 2031)
			if len(days) != 1 || days[0].Provisional != want {
				t.Errorf("%s: read back %+v", row.sentence, days)
			}
			return err
		}))
	}
}

// New Year's Eve read in part on New Year's Day isn't packed before it is whole.
func TestAProvisionalDayOfThePastYearIsPackedOnceItIsFinal(t *testing.T) {
	db := memory(t)
	january := time.Date(2032, 1, 1, 6, 0, 0, 0, time.UTC)
	store(t, db, january, provisional("2031-12-31", -5))
	if n := one[int](t, db, `select count(*) from station_year`); n != 0 {
		t.Error("it was packed")
	}
	store(t, db, january.Add(8*time.Hour), reading("2031-12-31", -6))
	if got, want := history(t, db), "2031-12-31 -6.00 "; got != want {
		t.Errorf("history %s, want %s", got, want)
	}
	if n := one[int](t, db, `select count(*) from station_day`); n != 0 {
		t.Error("the row outlives it")
	}
}

func TestTheMethodOfAMeanIsStoredWithTheDay(t *testing.T) {
	db := memory(t)
	d := reading("2031-04-19", 6)
	d.MeanOf = weather.MeanPublished
	store(t, db, noon, d)
	if got := one[string](t, db, `select mean_of from station_day`); got != "published by the provider" {
		t.Error(got)
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		days, err := b.History(t.Context(), "MET", 2031, 2031)
		if len(days) != 1 || days[0].MeanOf != weather.MeanPublished || days[0].Method() != weather.MeanPublished {
			t.Errorf("%+v", days)
		}
		return err
	}))
}

func TestWindsAreKeptByDayAndCorrected(t *testing.T) {
	db := memory(t)
	wind := func(day string, gust float64) weather.Wind {
		return weather.Wind{Date: civil.MustParse(day), MeanMS: math.NaN(), MaxMS: 7, GustMS: gust}
	}
	for i, winds := range [][]weather.Wind{{wind("2030-12-31", 9), wind("2031-04-18", 12), wind("2031-04-19", 14)}, {wind("2031-04-19", 21)}} {
		run := begun(t, db, plan("pull", fmt.Sprint("wind", i), map[Phase][]string{Pull: {"station:MET"}}))
		must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "station:MET"), weather.Haul{
			Source: weather.Source{Name: "station:MET", Class: "station"}, At: noon, OpenYear: 2031, Winds: winds,
		}))
		out := begun(t, db, plan("pull", fmt.Sprint("outlook", i), map[Phase][]string{Pull: {"outlook:HOME"}}))
		at := noon.Add(time.Duration(i) * time.Hour)
		must(t, db.StoreHaul(t.Context(), piece(t, db, out, Pull, "outlook:HOME"), weather.Haul{
			Source: weather.Source{Name: "outlook:HOME", Class: "outlook"}, At: at, OpenYear: 2031, Outlook: "HOME", IssuedAt: at,
			Days: []weather.Day{reading("2031-04-21", 5)}, Winds: []weather.Wind{wind("2031-04-21", 15+float64(i))},
		}))
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		measured, err := b.Winds(t.Context(), "MET", civil.Range{First: civil.MustParse("2031-01-01"), Last: civil.MustParse("2031-04-19")})
		if len(measured) != 2 || measured[0].GustMS != 12 || measured[1].GustMS != 21 || measured[1].MaxMS != 7 || !math.IsNaN(measured[1].MeanMS) {
			t.Errorf("measured %+v", measured)
		}
		if err != nil {
			return err
		}
		for at, gust := range map[time.Time]float64{noon: 15, noon.Add(time.Hour): 16} {
			foreseen, err := b.OutlookWinds(t.Context(), "HOME", at)
			if err != nil || len(foreseen) != 1 || foreseen[0].GustMS != gust {
				t.Errorf("foreseen at %s: %+v %v", at, foreseen, err)
			}
		}
		return nil
	}))
}

func TestWhenASourceWasRenewedIsRemembered(t *testing.T) {
	db := memory(t)
	run := begun(t, db, plan("pull", "renewed", map[Phase][]string{Pull: {"station:MET"}}))
	must(t, db.StoreHaul(t.Context(), piece(t, db, run, Pull, "station:MET"), weather.Haul{
		Source: weather.Source{Name: "station:MET", Class: "station", RenewedAt: noon.Add(-time.Hour)}, At: noon, OpenYear: 2031,
	}))
	s, err := db.Source(t.Context(), "station:MET")
	if err != nil || !s.RenewedAt.Equal(noon.Add(-time.Hour)) {
		t.Errorf("%s %v", s.RenewedAt, err)
	}
}
