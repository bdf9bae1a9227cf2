package postgres

import (
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// pastMarks are the marks of 2031's past: of the station's weather, and of
// reports.
func pastMarks(t *testing.T, db *DB) (history, reports string) {
	t.Helper()
	must(t, db.Read(t.Context(), func(b *Book) (err error) {
		if history, err = b.HistoryMark(t.Context(), []string{"MET", "NONE"}, 2031); err != nil {
			return err
		}
		reports, err = b.PastReportsMark(t.Context(), 2031)
		return err
	}))
	return history, reports
}

func TestTheMarkOfAStationsPast(t *testing.T) {
	db := memory(t)
	at := noon
	for _, row := range []struct {
		name    string
		days    []weather.Day
		changes bool
	}{
		{"the first days of a past year", []weather.Day{reading("2029-05-01", 7), reading("2030-05-01", 8)}, true},
		{"the same again", []weather.Day{reading("2029-05-01", 7), reading("2030-05-01", 8)}, false},
		{"days of the running year", []weather.Day{reading("2031-04-18", 5)}, false},
		{"a corrected day of the running year", []weather.Day{reading("2031-04-18", 6)}, false},
		{"a corrected day of a past one", []weather.Day{reading("2029-05-01", 9)}, true},
		{"a year more", []weather.Day{reading("2011-05-01", 9)}, true},
	} {
		before, _ := pastMarks(t, db)
		at = at.Add(time.Hour)
		store(t, db, at, row.days...)
		if after, _ := pastMarks(t, db); (after != before) != row.changes {
			t.Errorf("%s: %q became %q", row.name, before, after)
		}
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		if mark, err := b.HistoryMark(t.Context(), nil, 2031); mark != "" || err != nil {
			t.Errorf("of no station: %q, %v", mark, err)
		}
		return nil
	}))
}

// Until the year is over its days are rows, and afterwards still, until they
// are packed.
func TestTheMarkOfAYearThatIsJustOver(t *testing.T) {
	db := memory(t)
	store(t, db, noon, reading("2031-04-18", 5))
	mark := func() (mark string) {
		must(t, db.Read(t.Context(), func(b *Book) (err error) {
			mark, err = b.HistoryMark(t.Context(), []string{"MET"}, 2032)
			return err
		}))
		return mark
	}
	before := mark()
	store(t, db, noon.Add(time.Hour), reading("2031-04-18", 6))
	if after := mark(); after == before {
		t.Errorf("a corrected row left the mark at %q", after)
	}
}

func TestPastReportsAreFoundAcrossSites(t *testing.T) {
	db := memory(t)
	report := func(key, site string, season int, r trail.Report) {
		t.Helper()
		r.Site, r.Person, r.At, r.Way = site, "otso", noon, "form"
		_, err := db.Report(t.Context(), key, season, []trail.Report{r}, plan("report", key, nil))
		must(t, err)
	}
	if _, mark := pastMarks(t, db); mark != "" {
		t.Errorf("nothing was reported, and the mark is %q", mark)
	}
	report("a", "HOME", 2030, trail.Report{Kind: trail.NotYet, BBCH: 7, Day: civil.MustParse("2030-05-01")})
	report("b", "AWAY", 2029, trail.Report{Kind: trail.StageSeen, BBCH: 60, Day: civil.MustParse("2029-05-09")})
	report("c", "FAR", 2029, trail.Report{Kind: trail.StageSeen, BBCH: 60, Day: civil.MustParse("2029-05-09")})
	_, before := pastMarks(t, db)
	report("d", "HOME", 2031, trail.Report{Kind: trail.StageSeen, BBCH: 7, Day: civil.MustParse("2031-04-19")})
	report("e", "HOME", 2030, trail.Report{Kind: trail.KitArrived, Day: civil.MustParse("2030-03-01")})
	if _, mark := pastMarks(t, db); mark != before {
		t.Errorf("reports that aren't of past stages moved the mark from %q to %q", before, mark)
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		got, err := b.PastReports(t.Context(), []string{"AWAY", "HOME"}, 2031)
		if err != nil || len(got) != 2 || got[0].Site != "HOME" || got[0].Kind != trail.NotYet || got[0].BBCH != 7 ||
			got[0].Day.String() != "2030-05-01" || !got[0].At.Equal(noon) || got[1].Site != "AWAY" {
			t.Errorf("%+v, %v", got, err)
		}
		return nil
	}))
	report("f", "HOME", 2030, trail.Report{Kind: trail.StageSeen, BBCH: 7, Day: civil.MustParse("2030-05-04")})
	if _, mark := pastMarks(t, db); mark == before {
		t.Errorf("a past report left the mark at %q", mark)
	}
}
