package postgres

import (
	"testing"
	"time"

	"budcall/internal/weather"
)

// A doubt that came later marks the reading that is there, is taken back, and
// both are kept; in a year that is packed too.
func TestADoubtMarksWhatIsStoredAndIsTakenBack(t *testing.T) {
	for _, day := range []string{"2031-04-18", "2030-12-29"} {
		db := memory(t)
		store(t, db, noon, reading(day, 5))
		doubted := reading(day, 5)
		doubted.Mark = weather.BesideNeighbours
		store(t, db, noon.Add(time.Hour), doubted)
		if got := one[string](t, db, `select mark || ' ' || mean_c from station_day`); got != "drifted from neighbours 5" {
			t.Errorf("%s: stored %q", day, got)
		}
		if got := usable(t, db); got != 0 {
			t.Errorf("%s: %d days are used though one is doubted", day, got)
		}
		store(t, db, noon.Add(2*time.Hour), reading(day, 5))
		if got := usable(t, db); got != 1 {
			t.Errorf("%s: %d days are used after the doubt was taken back", day, got)
		}
		if got := one[string](t, db, `select string_agg(mark, ',' order by superseded_at) from station_day_before where mark <> ''`); got != "drifted from neighbours" {
			t.Errorf("%s: kept %q", day, got)
		}
	}
}

// usable counts the days of the history that aren't marked.
func usable(t *testing.T, db *DB) (n int) {
	t.Helper()
	err := db.Read(t.Context(), func(b *Book) error {
		days, err := b.History(t.Context(), "MET", 2025, 2031)
		for _, d := range days {
			if d.Mark == weather.Usable {
				n++
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}
