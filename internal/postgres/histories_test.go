package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// history reads stations' past as one text: a line a day.
func histories(t *testing.T, db *DB, p Past) (lines []string) {
	t.Helper()
	must(t, db.Read(t.Context(), func(b *Book) error {
		return b.Histories(t.Context(), p, func(station string, days []weather.Day) error {
			for _, d := range days {
				lines = append(lines, fmt.Sprintf("%s %s %g %s", station, d.Date, d.MeanC, d.Mark))
			}
			return nil
		})
	}))
	return lines
}

// keep stores days of a station, fetched in April 2031.
func keep(t *testing.T, db *DB, station string, days ...weather.Day) {
	t.Helper()
	h := weather.Haul{Source: weather.Source{Name: "station:" + station}, At: noon, OpenYear: 2031, Days: days}
	must(t, db.StoreBackFill(t.Context(), Part{Station: station, Days: civil.Range{First: days[0].Date, Last: days[len(days)-1].Date}}, h))
}

func TestTheHistoriesOfManyStations(t *testing.T) {
	db := memory(t)
	keep(t, db, "A", reading("2029-05-01", 1), reading("2030-05-01", 2))
	keep(t, db, "B", reading("2031-04-01", 3)) // rows only
	keep(t, db, "C", reading("2028-02-29", 4), reading("2031-04-01", 5))
	for _, row := range []struct {
		name string
		past Past
		want []string
	}{
		{"each station's days, in the order asked for, packed years before rows", Past{[]string{"C", "B", "A"}, 2020, 2031},
			[]string{"C 2028-02-29 4 ", "C 2031-04-01 5 ", "B 2031-04-01 3 ", "A 2029-05-01 1 ", "A 2030-05-01 2 "}},
		{"only the years asked for", Past{[]string{"A", "B", "C"}, 2029, 2029}, []string{"A 2029-05-01 1 "}},
		{"a station that isn't known has none", Past{[]string{"NONE", "A", "NONE2"}, 2029, 2029}, []string{"A 2029-05-01 1 "}},
		{"of no station nothing", Past{nil, 2020, 2031}, nil},
	} {
		if got := histories(t, db, row.past); !slices.Equal(got, row.want) {
			t.Errorf("%s: %q, want %q", row.name, got, row.want)
		}
	}
}

func TestHistoriesEndWhenTheyAreToldTo(t *testing.T) {
	db := memory(t)
	var codes []string
	for i := range 4 * blocksAhead {
		codes = append(codes, fmt.Sprintf("S%03d", i))
		keep(t, db, codes[i], reading("2029-05-01", float64(i)))
	}
	enough, given := errors.New("enough"), 0
	stop := func(string, []weather.Day) error {
		if given++; given == 3 {
			return enough
		}
		return nil
	}
	err := db.Read(t.Context(), func(b *Book) error {
		if err := b.Histories(t.Context(), Past{codes, 2029, 2029}, stop); !errors.Is(err, enough) {
			t.Errorf("%v", err)
		}
		days, err := b.History(t.Context(), "S005", 2029, 2029) // the Book serves still
		if err == nil && (len(days) != 1 || days[0].MeanC != 5) {
			t.Errorf("%v", days)
		}
		return err
	})
	if err != nil || given != 3 {
		t.Errorf("%v after %d", err, given)
	}
	ctx, cancel := context.WithCancel(t.Context())
	err = db.Read(ctx, func(b *Book) error {
		return b.Histories(ctx, Past{codes, 2029, 2029}, func(string, []weather.Day) error { cancel(); return nil })
	})
	if err == nil {
		t.Error("a reading that was stopped ended well")
	}
}

func TestAYearThatCantBeReadIsNamed(t *testing.T) {
	db := memory(t)
	keep(t, db, "A", reading("2029-05-01", 1))
	must(t, db.tx(t.Context(), func(tx pgx.Tx) error {
		_, err := tx.Exec(t.Context(), `update station_year set days = '\x09'`)
		return err
	}))
	err := db.Read(t.Context(), func(b *Book) error {
		_, err := b.History(t.Context(), "A", 2029, 2029)
		return err
	})
	if err == nil || !strings.Contains(err.Error(), "station A: year 2029 is packed in a way this version doesn't know") {
		t.Errorf("%v", err)
	}
}

func TestCorrectionsInPastYears(t *testing.T) {
	db := memory(t)
	keep(t, db, "MET", reading("2029-05-01", 7), reading("2029-05-02", 8), reading("2029-05-03", 9))
	before := func() string {
		return one[string](t, db, `select coalesce(string_agg(day || ' ' || mean_c, ', ' order by day, superseded_at), '') from station_day_before`)
	}
	for _, row := range []struct {
		name         string
		day          weather.Day
		days, before string
	}{
		{"the same again changes nothing", reading("2029-05-02", 8), "7 8 9", ""},
		{"a later value takes the place of one day, and what it said is kept", reading("2029-05-02", 8.5), "7 8.5 9", "2029-05-02 8"},
		{"and once more", reading("2029-05-02", 8.25), "7 8.25 9", "2029-05-02 8, 2029-05-02 8.5"},
		{"a value that looks wrong takes no place", weather.Day{Date: civil.MustParse("2029-05-03"), MinC: 1, MaxC: 2, MeanC: 99, Mark: weather.OutOfRange}, "7 8.25 9", "2029-05-02 8, 2029-05-02 8.5"},
		{"a day that is taken back is missing, and known to have been", weather.Missing(civil.MustParse("2029-05-01")), "8.25 9", "2029-05-01 7, 2029-05-02 8, 2029-05-02 8.5"},
		{"a day that was missing comes", reading("2029-05-04", 10), "8.25 9 10", "2029-05-01 7, 2029-05-02 8, 2029-05-02 8.5"},
	} {
		keep(t, db, "MET", row.day)
		var days []string
		must(t, db.Read(t.Context(), func(b *Book) error {
			of, err := b.History(t.Context(), "MET", 2029, 2029)
			for _, d := range of {
				if d.Mark == weather.Usable {
					days = append(days, fmt.Sprint(d.MeanC))
				}
			}
			return err
		}))
		if got := strings.Join(days, " "); got != row.days || before() != row.before {
			t.Errorf("%s: %q and before %q, want %q and %q", row.name, got, before(), row.days, row.before)
		}
	}
}
