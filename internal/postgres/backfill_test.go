package postgres

import (
	"bytes"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func TestAPartOfThePastIsStoredAndKnownToBe(t *testing.T) {
	db := memory(t)
	at := time.Date(2031, 4, 20, 6, 0, 0, 0, time.UTC)
	part := Part{Station: "MET", Days: civil.Range{First: civil.Of(2029, 1, 1), Last: civil.Of(2029, 12, 31)}, Source: "fmi 100971"}
	if done, err := db.BackFilled(t.Context(), part); err != nil || !done.IsZero() {
		t.Fatal(done, err)
	}
	d := weather.Missing(civil.Of(2029, 5, 1))
	d.MeanC = 7.25
	source := weather.Source{Name: "station:MET", Class: "station", SHA256: make([]byte, 32), ETag: `"of today"`, Expires: at.Add(time.Hour)}
	must(t, db.StoreBackFill(t.Context(), part, weather.Haul{Source: source, At: at, OpenYear: 2031, Body: []byte("<raw/>"), Days: []weather.Day{d},
		Winds: []weather.Wind{{Date: civil.Of(2029, 5, 1), MeanMS: 4, MaxMS: 7, GustMS: 11}, {Date: civil.Of(2031, 4, 1), MeanMS: 5, MaxMS: 9, GustMS: 15}}}))

	done, err := db.BackFilled(t.Context(), part)
	if err != nil || !done.Equal(at) {
		t.Errorf("%s %v", done, err)
	}
	var days []weather.Day
	must(t, db.Read(t.Context(), func(b *Book) error {
		days, err = b.History(t.Context(), "MET", 2029, 2029)
		return err
	}))
	if len(days) != 1 || days[0].MeanC != 7.25 {
		t.Errorf("%v", days)
	}
	var winds []weather.Wind
	must(t, db.Read(t.Context(), func(b *Book) error {
		winds, err = b.Winds(t.Context(), "MET", civil.Range{First: civil.Of(2029, 1, 1), Last: civil.Of(2031, 12, 31)})
		return err
	}))
	if len(winds) != 2 || winds[0].Date != civil.Of(2029, 5, 1) || winds[0].MaxMS != 7 || winds[1].GustMS != 15 {
		t.Errorf("winds %v", winds)
	}
	if n := one[int](t, db, `select count(*) from raw_copy where source = 'station:MET'`); n != 1 {
		t.Errorf("%d raw copies", n)
	}
	// The day's asking knows nothing of it, and no run is open.
	s, err := db.Source(t.Context(), "station:MET")
	if err != nil || s.ETag != "" || !s.Expires.IsZero() {
		t.Errorf("%+v %v", s, err)
	}
	if busy, err := db.Busy(t.Context(), at); err != nil || busy {
		t.Errorf("busy: %v %v", busy, err)
	}
	for _, other := range []Part{
		{Station: "MET2", Days: part.Days, Source: part.Source},
		{Station: "MET", Days: civil.Range{First: part.Days.First, Last: part.Days.Last - 1}, Source: part.Source},
		{Station: "MET", Days: part.Days, Source: "smhi-metobs 71420"},
	} {
		if done, err := db.BackFilled(t.Context(), other); err != nil || !done.IsZero() {
			t.Errorf("%v: %s %v", other, done, err)
		}
	}
}

func TestOldRawCopiesGoAndTheNewestStays(t *testing.T) {
	db := memory(t)
	from := time.Date(2031, 4, 20, 6, 0, 0, 0, time.UTC)
	store := func(source string, day int, before time.Time) {
		t.Helper()
		h := weather.Haul{
			Source: weather.Source{Name: source, Class: "station", SHA256: bytes.Repeat([]byte{byte(day)}, 32)}, At: from.AddDate(0, 0, day),
			OpenYear: 2031, Body: []byte{byte('a' + day)}, Rejects: []weather.Reject{{Line: 1, Reason: "x"}}, ForgetRawBefore: before,
		}
		must(t, db.StoreBackFill(t.Context(), Part{Station: source, Days: civil.Range{First: 1, Last: civil.Date(day + 1)}}, h))
	}
	store("station:OTHER", 0, time.Time{})
	for day := range 4 {
		store("station:MET", day, time.Time{})
	}
	kept := func() string {
		return one[string](t, db, `select string_agg(source || ' ' || fetched_at::date, ', ' order by id) from raw_copy`)
	}
	if got := kept(); got != "station:OTHER 2031-04-20, station:MET 2031-04-20, station:MET 2031-04-21, station:MET 2031-04-22, station:MET 2031-04-23" {
		t.Fatal(got)
	}
	store("station:MET", 4, from.AddDate(0, 0, 3))
	if got := kept(); got != "station:OTHER 2031-04-20, station:MET 2031-04-23, station:MET 2031-04-24" {
		t.Error(got)
	}
	store("station:MET", 5, from.AddDate(1, 0, 0))
	if got := kept(); got != "station:OTHER 2031-04-20, station:MET 2031-04-25" {
		t.Error(got)
	}
	if n := one[int](t, db, `select count(*) from reject`); n != 2 {
		t.Errorf("%d rejected lines are left of two copies", n)
	}
}
