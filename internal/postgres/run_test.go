package postgres

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"budcall/internal/trail"
)

func TestASlotIsBegunOnceByTwoProcesses(t *testing.T) {
	dsn := fresh(t, true)
	both := []*DB{process(t, dsn), process(t, dsn)}
	begun := make([]bool, 8)
	var all sync.WaitGroup
	for i := range begun {
		all.Go(func() {
			var err error
			begun[i], err = both[i%2].Begin(t.Context(), plan("pull", "06:10", map[Phase][]string{Tell: {"all"}}))
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	n := 0
	for _, b := range begun {
		if b {
			n++
		}
	}
	if runs := one[int](t, both[0], `select count(*) from run`); n != 1 || runs != 1 {
		t.Errorf("begun %d times, %d runs", n, runs)
	}
	if jobs := one[int](t, both[0], `select count(*) from river.river_job where kind = 'work'`); jobs != 1 {
		t.Errorf("%d jobs for one piece", jobs)
	}
}

func TestTwoProcessesCarryARunThroughItsPhasesInOrder(t *testing.T) {
	dsn := fresh(t, true)
	both := []*DB{process(t, dsn), process(t, dsn)}
	pieces := map[Phase][]string{Tell: {"all"}, Pull: nil, Advance: nil}
	for i := range 12 {
		pieces[Pull] = append(pieces[Pull], fmt.Sprint("station:S", i))
		pieces[Advance] = append(pieces[Advance], fmt.Sprint("SITE", i))
	}
	run := begun(t, both[0], plan("pull", "06:10", pieces))
	var mu sync.Mutex
	done := map[int64]int{}
	for _, phase := range []Phase{Pull, Advance, Tell} {
		if got := phaseOf(t, both[0], run); got != string(phase) {
			t.Fatalf("before %s the run stands at %s", phase, got)
		}
		queued := one[int](t, both[0], `select count(*) from river.river_job where kind = 'work'`)
		var all sync.WaitGroup
		for _, key := range pieces[phase] {
			id := piece(t, both[0], run, phase, key)
			for _, db := range both { // each piece by both at once, as after a nudge
				all.Go(func() {
					err := db.Within(t.Context(), id, []string{"B", "A"}, func(*Book, Piece) (string, error) {
						mu.Lock()
						defer mu.Unlock()
						done[id]++
						return "", nil
					})
					if err != nil {
						t.Error(err)
					}
				})
			}
		}
		all.Wait()
		if phase != Tell {
			next := map[Phase]int{Pull: 12, Advance: 1}[phase]
			if now := one[int](t, both[0], `select count(*) from river.river_job where kind = 'work'`); now-queued != next {
				t.Errorf("after %s %d pieces were queued, want %d", phase, now-queued, next)
			}
		}
	}
	for id, n := range done {
		if n != 1 {
			t.Errorf("piece %d was done %d times", id, n)
		}
	}
	if got := phaseOf(t, both[1], run); got != "done" || len(done) != 25 {
		t.Errorf("in the end the run stands at %s with %d pieces done", got, len(done))
	}
}

func TestWhichRunsWaitForAnother(t *testing.T) {
	db := memory(t)
	first := begun(t, db, plan("pull", "06:10", map[Phase][]string{Tell: {"all"}}))
	ok, err := db.Begin(t.Context(), plan("evening", "17:00", map[Phase][]string{Tell: {"all"}}))
	must(t, err)
	if ok {
		t.Error("an evening began before the pull was done")
	}
	beside := begun(t, db, plan("report", "key-1", map[Phase][]string{Tell: {"all"}}))
	finish(t, db, piece(t, db, first, Tell, "all"))
	begun(t, db, plan("evening", "17:00", map[Phase][]string{Tell: {"all"}}))
	if got := phaseOf(t, db, beside); got != "tell" {
		t.Errorf("what goes on beside them stands at %s", got)
	}
	if busy, err := db.Busy(t.Context(), noon); err != nil || !busy {
		t.Errorf("busy %v, %v", busy, err)
	}
}

func TestARunWithoutPiecesIsDone(t *testing.T) {
	db := memory(t)
	if got := phaseOf(t, db, begun(t, db, plan("pull", "06:10", nil))); got != "done" {
		t.Errorf("it stands at %s", got)
	}
	begun(t, db, plan("evening", "17:00", map[Phase][]string{Advance: {"A"}})) // and holds up none
}

func TestAPieceThatFailsIsStillOpen(t *testing.T) {
	db := memory(t)
	run := begun(t, db, plan("pull", "06:10", map[Phase][]string{Advance: {"A"}}))
	id := piece(t, db, run, Advance, "A")
	err := db.Within(t.Context(), id, []string{"A"}, func(b *Book, _ Piece) (string, error) {
		if err := b.Raise(t.Context(), "site:A", "half written", noon); err != nil {
			return "", err
		}
		return "", errors.New("stumbled")
	})
	if err == nil {
		t.Error("the error is gone")
	}
	if troubles, err := db.Troubles(t.Context()); err != nil || len(troubles) != 0 {
		t.Errorf("half of it was kept: %v %v", troubles, err)
	}
	p, open, err := db.Look(t.Context(), id)
	if err != nil || !open || p.Key != "A" || p.Run.Name != "pull" || !p.Run.At.Equal(noon) {
		t.Errorf("%+v open %v: %v", p, open, err)
	}
	finish(t, db, id)
	if _, open, err := db.Look(t.Context(), id); err != nil || open {
		t.Errorf("open %v after it was done: %v", open, err)
	}
	if _, open, err := db.Look(t.Context(), 1<<40); err != nil || open {
		t.Errorf("a piece that never was: open %v, %v", open, err)
	}
}

func TestNudgeQueuesAgainWhatADeadProcessHad(t *testing.T) {
	db := memory(t)
	run := begun(t, db, plan("pull", "06:10", map[Phase][]string{Pull: {"station:A", "station:B"}, Tell: {"all"}}))
	finish(t, db, piece(t, db, run, Pull, "station:A"))
	for _, row := range []struct {
		sentence string
		older    time.Duration
		want     int
	}{
		{"nothing is old yet", time.Hour, 0},
		{"the one open piece of the running phase", 0, 1},
	} {
		n, err := db.Nudge(t.Context(), row.older)
		if err != nil || n != row.want {
			t.Errorf("%s: %d, %v", row.sentence, n, err)
		}
	}
	if jobs := one[int](t, db, `select count(*) from river.river_job where kind = 'work'`); jobs != 3 {
		t.Errorf("%d jobs, want the two of the phase and one again", jobs)
	}
}

// Jobs of a queue that really runs: a job that fails is tried again.
func TestTheQueueWorksARunOff(t *testing.T) {
	db := memory(t)
	failed := false
	finished := make(chan int64, 8)
	var mu sync.Mutex
	q, err := db.NewQueue(Handlers{
		Work: func(ctx context.Context, id int64) error {
			mu.Lock()
			first := !failed
			failed = true
			mu.Unlock()
			if first {
				return errors.New("stumbled once")
			}
			err := db.Within(ctx, id, nil, func(*Book, Piece) (string, error) { return "", nil })
			finished <- id
			return err
		},
		Deliver: func(context.Context, string) error { return nil },
	}, 2)
	must(t, err)
	run := begun(t, db, plan("pull", "06:10", map[Phase][]string{Pull: {"station:A"}, Tell: {"all"}}))
	must(t, q.Start(context.WithoutCancel(t.Context())))
	t.Cleanup(func() {
		if err := q.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
	for range 2 {
		select {
		case <-finished:
		case <-time.After(2 * time.Minute):
			t.Fatalf("the run stands at %s", phaseOf(t, db, run))
		}
	}
}

func TestAReportIsStoredOnceAndBeginsItsRun(t *testing.T) {
	dsn := fresh(t, true)
	both := []*DB{process(t, dsn), process(t, dsn)}
	begun(t, both[0], plan("pull", "06:10", map[Phase][]string{Tell: {"all"}})) // a report doesn't wait for it
	reports := []trail.Report{
		{Person: "otso", Site: "HOME", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: 22389, At: noon, Way: "form"},
		{Person: "otso", Site: "HOME", Kind: trail.Going, Day: 22389, On: 22391, At: noon, Way: "form"},
	}
	then := plan("report", "key-1", map[Phase][]string{Advance: {"HOME"}, Tell: {"all"}})
	stored := make([]bool, 6)
	var all sync.WaitGroup
	for i := range stored {
		all.Go(func() {
			var err error
			if stored[i], err = both[i%2].Report(t.Context(), "key-1", 2031, reports, then); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	n := 0
	for _, s := range stored {
		if s {
			n++
		}
	}
	rows := one[int](t, both[0], `select count(*) from report`)
	runs := one[int](t, both[0], `select count(*) from run where name = 'report' and phase = 'advance'`)
	if n != 1 || rows != 2 || runs != 1 {
		t.Errorf("stored %d times: %d rows, %d runs", n, rows, runs)
	}
	must(t, both[1].Read(t.Context(), func(b *Book) error {
		got, err := b.Reports(t.Context(), "HOME", 2031)
		if err == nil && (len(got) != 2 || got[0].Tree != "T1" || got[0].On != 0 || got[1].On != 22391 || !got[1].At.Equal(noon)) {
			t.Errorf("came back as %+v", got)
		}
		return err
	}))
}

// A report whose run can't be begun isn't stored either.
func TestAReportAndItsRunAreOneThing(t *testing.T) {
	db := memory(t)
	twice := plan("report", "key-1", map[Phase][]string{Advance: {"HOME", "HOME"}}) // a piece twice is refused by the database
	if _, err := db.Report(t.Context(), "key-1", 2031, []trail.Report{{Site: "HOME", Kind: trail.SeedBrown, Day: 22389, At: noon}}, twice); err == nil {
		t.Error("no error")
	}
	if rows := one[int](t, db, `select count(*) from report`); rows != 0 {
		t.Errorf("%d reports without a run", rows)
	}
}
