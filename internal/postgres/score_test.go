package postgres

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// onDay carries blocks on in a run of its own that is begun at noon of a day.
func onDay(t *testing.T, db *DB, on civil.Date, block string, f func(*Book) error) {
	t.Helper()
	p := plan("report", fmt.Sprint(on, rand.Int64()), map[Phase][]string{Advance: {block}})
	p.At = on.In(time.UTC, 12, 0)
	run := begun(t, db, p)
	must(t, db.Within(t.Context(), piece(t, db, run, Advance, block), nil, func(b *Book, _ Piece) (string, error) { return "", f(b) }))
}

// narrowing is a forecast that changes on some days and not on others.
func narrowing(code stage.BBCH, day int) ensemble.Days {
	chance := rand.New(rand.NewPCG(uint64(code), uint64(day/3)))
	d := ensemble.Days{From: civil.MustParse("2031-03-01")}
	p := 0.0
	for range 120 {
		p = min(1, p+chance.Float64()*chance.Float64()/20)
		d.By = append(d.By, p)
	}
	return d
}

// Every forecast that was ever issued can be had again, to the byte, whether
// it has a row of its own or stood unchanged.
func TestEveryIssuedForecastCanBeHadAgain(t *testing.T) {
	db := memory(t)
	first, codes := civil.MustParse("2031-03-10"), []stage.BBCH{1, 7, 60}
	down, unfit := first+4, first+7 // days without a forecast
	for i := range 20 {
		day := first + civil.Date(i)
		switch day {
		case down:
			continue
		case unfit:
			onDay(t, db, day, "ALDER,HOME", func(b *Book) error { return b.NotIssued(t.Context(), "HOME", day) })
			continue
		}
		onDay(t, db, day, "ALDER,HOME", func(b *Book) error {
			for _, code := range codes {
				if err := b.SaveIssued(t.Context(), "HOME", 2031, code, day, narrowing(code, i)); err != nil {
					return err
				}
			}
			return nil
		})
	}
	if n := one[int](t, db, `select count(*) from issued`); n != 7*len(codes) { // 20 days change every third
		t.Errorf("%d rows: were unchanged forecasts written again?", n)
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		for i := -1; i < 21; i++ {
			day := first + civil.Date(i)
			for _, code := range codes {
				got, ok, err := b.IssuedOn(t.Context(), "HOME", time.UTC, code, day)
				if err != nil {
					return err
				}
				if want := i >= 0 && i < 20 && day != down && day != unfit; ok != want {
					t.Errorf("%s: a forecast of %s: %v, want %v", day, code, ok, want)
				}
				if !ok {
					continue
				}
				wantFirst, wantLive := packDays(narrowing(code, i))
				gotFirst, gotLive := packDays(got.Days)
				if gotFirst != wantFirst || !bytes.Equal(gotLive, wantLive) {
					t.Errorf("%s: the forecast of %s differs:\n%s %x\n%s %x", day, code, gotFirst, gotLive, wantFirst, wantLive)
				}
				if !reflect.DeepEqual(got.Days, unpackDays(wantFirst, wantLive)) {
					t.Errorf("%s: the forecast of %s isn't what its bytes say", day, code)
				}
			}
		}
		return nil
	}))
}

func TestADayWithoutAForecastInTheMorningMayHaveOneAtNoon(t *testing.T) {
	db := memory(t)
	day := civil.MustParse("2031-03-10")
	d := narrowing(7, 0)
	onDay(t, db, day, "HOME", func(b *Book) error { return b.NotIssued(t.Context(), "HOME", day) })
	onDay(t, db, day, "HOME", func(b *Book) error { return b.SaveIssued(t.Context(), "HOME", 2031, 7, day, d) })
	must(t, db.Read(t.Context(), func(b *Book) error {
		if _, ok, err := b.IssuedOn(t.Context(), "HOME", time.UTC, 7, day); err != nil || !ok {
			t.Errorf("%v %v", ok, err)
		}
		east := time.FixedZone("", 13*3600) // where the run began on the 11th
		if _, ok, err := b.IssuedOn(t.Context(), "HOME", east, 7, day+1); err != nil || !ok {
			t.Errorf("a day is the site's own: %v %v", ok, err)
		}
		return nil
	}))
}

func TestWhatWasPackedOncePacksTheSameAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := ensemble.Days{From: civil.Date(rapid.IntRange(20000, 24000).Draw(t, "from"))}
		p := 0.0
		for range rapid.IntRange(0, 60).Draw(t, "days") {
			p = min(1, p+rapid.SampledFrom([]float64{0, 1e-9, 4e-6, 1e-5, 0.003, 0.1, 0.6}).Draw(t, "step"))
			d.By = append(d.By, p)
		}
		first, live := packDays(d)
		againFirst, again := packDays(unpackDays(first, live))
		if first != againFirst || !bytes.Equal(live, again) {
			t.Fatalf("%s %x became %s %x", first, live, againFirst, again)
		}
	})
}

func TestScoresAreKeptAndReplaced(t *testing.T) {
	db, nan := memory(t), math.NaN()
	d := civil.MustParse
	scores := []stage.Score{
		{Code: 7, Lead: 14, Issued: d("2031-04-19"), Seen: d("2031-05-03"), NotYet: d("2031-05-01"), ErrorDays: 1.5, CRPS: 0.27,
			PIT: ensemble.PIT{Low: 0.3, High: 0.95}, CRPSMeanDate: 2, CRPSRegression: 1, Past: 4, Basis: stage.BasisSeen},
		{Code: 7, Lead: 7, Issued: d("2031-04-26"), Seen: d("2031-05-03"), ErrorDays: nan, CRPS: 243,
			CRPSMeanDate: 2, CRPSRegression: 3, Past: 30, Basis: stage.BasisComputed},
		{Code: 60, Lead: 7, Issued: d("2031-05-13"), Seen: d("2031-05-20"), ErrorDays: -2, CRPS: 1,
			CRPSMeanDate: nan, CRPSRegression: nan, Basis: stage.BasisNone},
	}
	save := func(site string, through int64, s []stage.Score) {
		t.Helper()
		onDay(t, db, civil.At(noon), site, func(b *Book) error { return b.SaveScores(t.Context(), site, 2031, through, s) })
	}
	check := func(site string, wantThrough int64, want []stage.Score) {
		t.Helper()
		must(t, db.Read(t.Context(), func(b *Book) error {
			through, err := b.ScoredThrough(t.Context(), site, 2031)
			if err != nil || through != wantThrough {
				t.Errorf("%s is scored through %d %v, want %d", site, through, err, wantThrough)
			}
			got, err := b.Scores(t.Context(), site, 2031)
			if fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) { // NaN isn't equal to itself
				t.Errorf("%s:\n%+v\nwant\n%+v", site, got, want)
			}
			return err
		}))
	}
	check("HOME", 0, nil)
	save("HOME", 5, scores)
	check("HOME", 5, scores)
	save("HOME", 5, scores)
	check("HOME", 5, scores)
	save("ALDER", 6, scores[:1])
	newest := averagedAsInMemory(t, db, append(scores[:1:1], scores...))
	save("HOME", 7, scores[1:])
	check("HOME", 7, scores[1:])
	if s, at, err := db.SkillsSince(t.Context(), 2031, newest); err != nil || len(s) == 0 || !at.After(newest) {
		t.Errorf("new scores weren't noticed: %+v %s %v", s, at, err)
	}
	averagedAsInMemory(t, db, append(scores[:1:1], scores[1:]...))
	save("HOME", 8, nil)
	check("HOME", 8, nil)
}

// averagedAsInMemory compares the query with stage.SkillOf.
func averagedAsInMemory(t *testing.T, db *DB, scores []stage.Score) (newest time.Time) {
	t.Helper()
	want := stage.SkillOf(scores)
	got, newest, err := db.SkillsSince(t.Context(), 2031, time.Time{})
	must(t, err)
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || fmt.Sprintf("%.9v", got[i]) != fmt.Sprintf("%.9v", want[i]) {
			t.Fatalf("averaged\n%+v\nwant\n%+v", got, want)
		}
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		again, err := b.Skills(t.Context(), 2031)
		if !reflect.DeepEqual(again, got) {
			t.Errorf("within a transaction %+v", again)
		}
		return err
	}))
	if s, _, err := db.SkillsSince(t.Context(), 2031, newest); err != nil || s != nil {
		t.Errorf("what is known already was averaged again: %+v %v", s, err)
	}
	return newest
}
