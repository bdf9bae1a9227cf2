package postgres

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// decide stores a standing and what is owed because of it.
func decide(t *testing.T, db *DB, nominal string, serial int, before, now season.State, fail error) {
	t.Helper()
	run := begun(t, db, plan("evening", nominal, map[Phase][]string{Advance: {"HOME"}}))
	err := db.Within(t.Context(), piece(t, db, run, Advance, "HOME"), []string{"HOME"}, func(b *Book, p Piece) (string, error) {
		err := b.Decide(t.Context(), Decision{
			Site: "HOME", Season: 2031, At: noon, Before: map[call.Task]season.State{call.BagOn: before},
			Outcome: season.Outcome{
				Calls: map[call.Task]season.State{call.BagOn: now},
				Owed:  []season.Owed{{Task: call.BagOn, Standing: now.Standing, Person: "otso", Serial: serial}},
			},
			Items:   []notice.Item{{Site: "HOME", Task: call.BagOn, Standing: now.Standing}},
			Letters: []notice.Parcel{{ID: fmt.Sprint("hook-", serial), Channel: notice.ByWebhook, Target: "lab", Content: json.RawMessage(`{}`), WrittenAt: noon, ExpiresAt: noon.Add(time.Hour)}},
		})
		return "", errors.Join(err, fail)
	})
	if !errors.Is(err, fail) || fail == nil && err != nil {
		t.Fatal(err)
	}
	if fail != nil {
		finish(t, db, piece(t, db, run, Advance, "HOME"))
	}
}

// counts tells how much of each thing is there.
func counts(t *testing.T, db *DB) string {
	t.Helper()
	return one[string](t, db, `select format('%s calls %s changes %s owed %s letters %s jobs',
		(select count(*) from site_call where standing <> ''), (select count(*) from standing_change), (select count(*) from owed),
		(select count(*) from letter), (select count(*) from river.river_job where kind = 'deliver'))`)
}

func TestAStandingAndWhatItOwesAreOneThing(t *testing.T) {
	db := memory(t)
	ahead := season.State{Standing: call.Ahead, AnswerBy: noon.Add(time.Hour), Days: civil.Range{First: 22390, Last: 22395}}
	decide(t, db, "1", 1, season.State{}, ahead, errors.New("stumbled after all was written"))
	if got, want := counts(t, db), "0 calls 0 changes 0 owed 0 letters 0 jobs"; got != want {
		t.Errorf("after an error: %s, want %s", got, want)
	}
	decide(t, db, "2", 1, season.State{}, ahead, nil)
	if got, want := counts(t, db), "1 calls 1 changes 1 owed 1 letters 1 jobs"; got != want {
		t.Errorf("once: %s, want %s", got, want)
	}
	xmin := one[string](t, db, `select string_agg(xmin::text, ' ') from site_call`)
	decide(t, db, "3", 1, ahead, ahead, nil)
	if got, want := counts(t, db), "1 calls 1 changes 1 owed 1 letters 1 jobs"; got != want {
		t.Errorf("the same again: %s, want %s", got, want)
	}
	if again := one[string](t, db, `select string_agg(xmin::text, ' ') from site_call`); again != xmin {
		t.Error("a call that didn't change was written again")
	}
	for at, want := range map[time.Time]int{noon: 0, noon.Add(time.Hour): 1} {
		if due, err := db.AnswersDue(t.Context(), at); err != nil || len(due) != want {
			t.Errorf("at %s due %v, %v", at, due, err)
		}
	}
	must(t, db.Read(t.Context(), func(b *Book) error {
		calls, err := b.Calls(t.Context(), "HOME", 2031)
		if got := calls[call.BagOn]; got.Standing != call.Ahead || got.Days != ahead.Days || !got.AnswerBy.Equal(ahead.AnswerBy) {
			t.Errorf("came back as %+v", got)
		}
		return err
	}))
}

// envelope is what telling makes of all that is owed, in these tests.
func envelope(id string, owed []notice.Due) []notice.Envelope {
	e := notice.Envelope{Parcel: notice.Parcel{
		ID: id, Channel: notice.ByMail, Target: "otso", Kind: "calls", Content: json.RawMessage(`{}`), WrittenAt: noon, ExpiresAt: noon.Add(time.Hour),
	}}
	for _, o := range owed {
		e.Owed = append(e.Owed, o.ID)
	}
	return []notice.Envelope{e}
}

func TestWhatIsOwedBecomesALetterOnce(t *testing.T) {
	db := memory(t)
	decide(t, db, "1", 1, season.State{}, season.State{Standing: call.Ahead}, nil)
	must(t, db.Raise(t.Context(), "station:MET", "the file is garbled: correct it", noon))
	tell := func(nominal string, f func(owed []notice.Due, troubles []string) ([]notice.Envelope, error)) error {
		run := begun(t, db, plan("report", nominal, map[Phase][]string{Tell: {"all"}}))
		return db.Tell(t.Context(), piece(t, db, run, Tell, "all"), func(_ Run, owed []notice.Due, troubles []string) ([]notice.Envelope, error) {
			return f(owed, troubles)
		})
	}
	err := tell("failing", func(owed []notice.Due, troubles []string) ([]notice.Envelope, error) {
		if len(owed) != 1 || len(troubles) != 1 {
			t.Errorf("%d owed, troubles %v", len(owed), troubles)
		}
		return nil, errors.New("stumbled")
	})
	if err == nil {
		t.Error("the error is gone")
	}
	bad := envelope("unknown", nil)
	bad[0].Content = json.RawMessage(`{`) // the database refuses it after an earlier letter was written
	err = tell("half", func(owed []notice.Due, _ []string) ([]notice.Envelope, error) {
		return append(envelope("first", owed), bad...), nil
	})
	if err == nil {
		t.Error("a letter that is no JSON was stored")
	}
	if got, want := counts(t, db), "1 calls 1 changes 1 owed 1 letters 1 jobs"; got != want {
		t.Errorf("after two errors: %s, want %s", got, want)
	}
	must(t, tell("good", func(owed []notice.Due, troubles []string) ([]notice.Envelope, error) {
		if len(owed) != 1 || len(troubles) != 1 || len(owed[0].Thread) != 0 {
			t.Errorf("%+v, troubles %v", owed, troubles)
		}
		return envelope("mail-1", owed), nil
	}))
	decide(t, db, "4", 2, season.State{Standing: call.Ahead}, season.State{Standing: call.Go}, nil)
	must(t, tell("next", func(owed []notice.Due, troubles []string) ([]notice.Envelope, error) {
		if len(owed) != 1 || owed[0].Item.Standing != call.Go || len(owed[0].Thread) != 1 || owed[0].Thread[0] != "mail-1" || len(troubles) != 0 {
			t.Errorf("%+v, troubles %v", owed, troubles)
		}
		return envelope("mail-2", owed), nil
	}))
	if got, want := counts(t, db), "1 calls 2 changes 2 owed 4 letters 4 jobs"; got != want {
		t.Errorf("in the end: %s, want %s", got, want)
	}
}

func TestALetterThatDoesNotArriveIsNoAnswer(t *testing.T) {
	for state, want := range map[notice.State]int{notice.Refused: 1, notice.GivenUp: 0, notice.Sent: 0, notice.Waiting: 0} {
		db := memory(t)
		decide(t, db, "1", 1, season.State{}, season.State{Standing: call.Go}, nil)
		run := begun(t, db, plan("report", "1", map[Phase][]string{Tell: {"all"}}))
		must(t, db.Tell(t.Context(), piece(t, db, run, Tell, "all"), func(_ Run, owed []notice.Due, _ []string) ([]notice.Envelope, error) {
			return envelope("mail-1", owed), nil
		}))
		take(t, db, "mail-1", noon)
		var asked [][]string
		db.Lost = func(letter string, sites []string, at time.Time) (Plan, bool) {
			asked = append(asked, sites)
			return plan("report", "lost "+letter, map[Phase][]string{Tell: {"all"}}), true
		}
		must(t, db.Settle(t.Context(), "mail-1", notice.Settlement{State: state, At: noon.Add(time.Minute), NextTry: noon.Add(time.Hour)}))
		must(t, db.Read(t.Context(), func(b *Book) error {
			returned, err := b.Returned(t.Context(), "HOME", 2031)
			if len(returned) != want || want == 1 && !returned[call.BagOn].Equal(noon.Add(time.Minute)) {
				t.Errorf("%s: returned %v", state, returned)
			}
			return err
		}))
		if began := len(asked) == 1 && slices.Equal(asked[0], []string{"HOME"}); began != (want == 1) {
			t.Errorf("%s: a run was asked for %v", state, asked)
		}
	}
}

func TestATroubleIsToldOnceUntilItComesAgain(t *testing.T) {
	db := memory(t)
	n := 0
	told := func() int {
		n++
		run := begun(t, db, plan("report", fmt.Sprint(n), map[Phase][]string{Tell: {"all"}}))
		var got []string
		must(t, db.Tell(t.Context(), piece(t, db, run, Tell, "all"), func(_ Run, _ []notice.Due, troubles []string) ([]notice.Envelope, error) {
			got = troubles
			return nil, nil
		}))
		return len(got)
	}
	for _, step := range []struct {
		sentence string
		do       func() error
		want     int
	}{
		{"raised it is told", func() error { return db.Raise(t.Context(), "s", "a", noon) }, 1},
		{"raised again it isn't", func() error { return db.Raise(t.Context(), "s", "b", noon.Add(time.Hour)) }, 0},
		{"over it isn't", func() error { return db.Over(t.Context(), "s", noon.Add(2*time.Hour)) }, 0},
		{"raised after it was over it is", func() error { return db.Raise(t.Context(), "s", "c", noon.Add(3*time.Hour)) }, 1},
	} {
		must(t, step.do())
		if got := told(); got != step.want {
			t.Errorf("%s: told %d times", step.sentence, got)
		}
	}
	open, err := db.Troubles(t.Context())
	if err != nil || len(open) != 1 || open[0].Text != "c" || !open[0].Since.Equal(noon.Add(3*time.Hour)) {
		t.Errorf("%+v %v", open, err)
	}
}

func TestAForecastIsWrittenWhenItChanges(t *testing.T) {
	db := memory(t)
	d := ensemble.Days{From: civil.MustParse("2031-04-20"), By: []float64{0, 1e-7, 0.2, 0.5, 0.9, 0.9999999, 1}}
	other := ensemble.Days{From: d.From, By: []float64{0, 0, 0.3, 0.5, 0.9, 1}}
	never := ensemble.Days{From: d.From, By: []float64{0, 0, 1e-9}}
	save := func(on string, d ensemble.Days) {
		t.Helper()
		run := begun(t, db, plan("report", fmt.Sprint(on, time.Now().UnixNano()), map[Phase][]string{Advance: {"HOME"}}))
		must(t, db.Within(t.Context(), piece(t, db, run, Advance, "HOME"), nil, func(b *Book, _ Piece) (string, error) {
			return "", b.SaveIssued(t.Context(), "HOME", 2031, stage.BudBreak, civil.MustParse(on), d)
		}))
	}
	issued := func() (got []Issued) {
		t.Helper()
		must(t, db.Read(t.Context(), func(b *Book) (err error) {
			got, err = b.Issued(t.Context(), "HOME", 2031)
			return err
		}))
		return got
	}
	save("2031-04-01", never)
	save("2031-04-02", d)
	save("2031-04-03", d)
	save("2031-04-04", other)
	save("2031-04-04", d) // the same day has the last word
	save("2031-04-05", d)
	got := issued()
	words := ""
	for _, i := range got {
		words += fmt.Sprintf("%s %s-%s-%s ", i.On, i.P10, i.P50, i.P90)
	}
	if want := "2031-04-01 ----- 2031-04-02 2031-04-22-2031-04-23-2031-04-24 2031-04-04 2031-04-22-2031-04-23-2031-04-24 "; words != want {
		t.Errorf("issued\n%s\nwant\n%s", words, want)
	}
}

func TestAPackedForecastIsAsGood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := ensemble.Days{From: civil.Date(rapid.IntRange(20000, 24000).Draw(t, "from"))}
		p := 0.0
		for range rapid.IntRange(0, 60).Draw(t, "days") {
			p = min(1, p+rapid.SampledFrom([]float64{0, 0, 1e-9, 1e-5, 0.003, 0.1, 0.6}).Draw(t, "step"))
			d.By = append(d.By, p)
		}
		first, live := packDays(d)
		if live == nil {
			t.Fatal("the database takes nothing for NULL")
		}
		got := unpackDays(first, live)
		for on := d.From - 2; on < d.From+70; on++ {
			if diff := math.Abs(got.On(on) - d.On(on)); diff > 1.0/65535 {
				t.Fatalf("on %s %.7f became %.7f", on, d.On(on), got.On(on))
			}
		}
	})
}
