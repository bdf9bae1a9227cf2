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
