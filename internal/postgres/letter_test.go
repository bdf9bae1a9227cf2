package postgres

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"time"

	"budcall/internal/notice"
)

// take takes a letter or tells that it couldn't be had.
func take(t *testing.T, db *DB, id string, at time.Time) (notice.Parcel, bool) {
	t.Helper()
	l, ok, err := db.Take(t.Context(), id, at)
	must(t, err)
	return l, ok
}

// die is what a kill does: the connection that shows that a process lives is
// gone, and nothing else is put right.
func die(t *testing.T, db *DB, seenBy *DB) {
	t.Helper()
	must(t, db.alive.Close(context.Background()))
	for one[int](t, seenBy, `select count(*) from pg_locks where locktype = 'advisory' and classid = $1 and objid = $2`, int64(migrateLock), db.instance) > 0 {
		if t.Context().Err() != nil {
			t.Fatal("the lock of a closed connection stays")
		}
	}
}

func TestALetterGoesToOneProcess(t *testing.T) {
	dsn := fresh(t, true)
	both := []*DB{process(t, dsn), process(t, dsn)}
	for round := range 20 {
		id := fmt.Sprint("letter-", round)
		post(t, both[0], id)
		got := make([]bool, 6)
		var all sync.WaitGroup
		for i := range got {
			all.Go(func() {
				var err error
				if _, got[i], err = both[i%2].Take(t.Context(), id, noon); err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
		n := 0
		for _, ok := range got {
			if ok {
				n++
			}
		}
		if n != 1 {
			t.Fatalf("%s was taken %d times", id, n)
		}
	}
}

func TestWhoseALetterIs(t *testing.T) {
	dsn := fresh(t, true)
	for _, row := range []struct {
		sentence string
		before   func(t *testing.T, a, b *DB) // a has taken it
		free     bool
		doubtful int
	}{
		{"in the hands of a living process it stays there", func(*testing.T, *DB, *DB) {}, false, 0},
		{"dotted in the hands of a living process too", func(t *testing.T, a, _ *DB) { must(t, a.Dot(t.Context(), "l")) }, false, 0},
		{"of a dead process it is free at once", func(t *testing.T, a, b *DB) { die(t, a, b) }, true, 0},
		{"dotted by a dead process it may have arrived", func(t *testing.T, a, b *DB) { must(t, a.Dot(t.Context(), "l")); die(t, a, b) }, true, 1},
		{"of a process whose connection broke and came back it isn't free", func(t *testing.T, a, b *DB) {
			die(t, a, b)
			must(t, a.StillLive(t.Context()))
		}, false, 0},
		{"settled as sent it is nobody's", func(t *testing.T, a, _ *DB) {
			must(t, a.Settle(t.Context(), "l", notice.Settlement{State: notice.Sent, At: noon}))
		}, false, 0},
		{"settled to wait it isn't due before its time", func(t *testing.T, a, _ *DB) {
			must(t, a.Settle(t.Context(), "l", notice.Settlement{State: notice.Waiting, At: noon, NextTry: noon.Add(time.Minute)}))
		}, false, 0},
		{"settled to wait it is free once it is due", func(t *testing.T, a, _ *DB) {
			must(t, a.Settle(t.Context(), "l", notice.Settlement{State: notice.Waiting, At: noon, NextTry: noon}))
		}, true, 0},
		{"an attempt that may have arrived makes the next one doubtful", func(t *testing.T, a, _ *DB) {
			must(t, a.Settle(t.Context(), "l", notice.Settlement{State: notice.Dotted, At: noon, NextTry: noon}))
		}, true, 1},
	} {
		a, b := process(t, dsn), process(t, dsn)
		one[int](t, a, `with gone as (delete from letter returning 1) select count(*) from gone`)
		post(t, a, "l")
		if l, ok := take(t, a, "l", noon); !ok || l.Attempts != 1 || l.Target != "maia" || !l.ExpiresAt.Equal(noon.Add(24*time.Hour)) {
			t.Fatalf("%s: %+v %v", row.sentence, l, ok)
		}
		row.before(t, a, b)
		n, err := b.QueueLetters(t.Context(), noon)
		must(t, err)
		l, ok := take(t, b, "l", noon)
		if ok != row.free || (n == 1) != row.free || l.Doubtful != row.doubtful || ok && l.Attempts != 2 {
			t.Errorf("%s: free %v, queued %d, %d doubtful, attempt %d", row.sentence, ok, n, l.Doubtful, l.Attempts)
		}
	}
}

func TestOnlyTheHolderSettles(t *testing.T) {
	dsn := fresh(t, true)
	a, b := process(t, dsn), process(t, dsn)
	post(t, a, "l")
	take(t, a, "l", noon)
	if err := b.Dot(t.Context(), "l"); err == nil {
		t.Error("another process dotted it")
	}
	must(t, b.Settle(t.Context(), "l", notice.Settlement{State: notice.Sent, At: noon}))
	if s := one[string](t, a, `select state from letter`); s != "taken" {
		t.Errorf("another process made it %q", s)
	}
	die(t, a, b)
	take(t, b, "l", noon)
	if err := a.Dot(t.Context(), "l"); err == nil {
		t.Error("a process that was thought dead dotted a letter that is another's by now")
	}
	must(t, b.Dot(t.Context(), "l"))
	must(t, b.Settle(t.Context(), "l", notice.Settlement{State: notice.Sent, At: noon, RelayID: "queued as 7"}))
	if s := one[string](t, a, `select state || ' ' || relay_id || ' ' || (settled_at = $1) from letter`, noon); s != "sent queued as 7 true" {
		t.Error(s)
	}
}

func TestALetterOfOurOwnIsNotSentTwiceAtATime(t *testing.T) {
	db := memory(t)
	post(t, db, "l")
	take(t, db, "l", noon)
	if _, ok := take(t, db, "l", noon); ok {
		t.Error("taken twice")
	}
	if n, err := db.QueueLetters(t.Context(), noon); n != 0 || err != nil {
		t.Errorf("queued %d, %v", n, err)
	}
	if next, err := db.NextLetter(t.Context()); err != nil || !next.IsZero() {
		t.Errorf("tried again at %s, %v", next, err)
	}
	later := noon.Add(time.Hour)
	must(t, db.Settle(t.Context(), "l", notice.Settlement{State: notice.Dotted, At: noon, NextTry: later}))
	if next, err := db.NextLetter(t.Context()); err != nil || !next.Equal(later) {
		t.Errorf("tried again at %s, %v", next, err)
	}
	if busy, err := db.Busy(t.Context(), later); err != nil || !busy {
		t.Errorf("busy %v, %v", busy, err)
	}
}

// Showing that we live must neither wait for a connection that the server
// takes for alive still, nor pass for done where it failed.
func TestAProcessShowsThatItLives(t *testing.T) {
	dsn := fresh(t, true)
	db := process(t, dsn)
	held := db.alive
	must(t, db.Live(t.Context())) // the old connection isn't closed: to the server it is a network that broke
	locks := func() int {
		return one[int](t, db, `select count(*) from pg_locks where locktype = 'advisory' and granted and classid = $1 and objid = $2`, int64(migrateLock), db.instance)
	}
	if n := locks(); n != 2 {
		t.Errorf("%d locks", n)
	}
	must(t, held.Close(t.Context()))
}

func TestNotBeingAbleToShowThatWeLiveIsAnError(t *testing.T) {
	dsn := fresh(t, true)
	other := process(t, dsn)
	db, err := Open(t.Context(), Options{DSN: dsn + " lock_timeout=50"})
	must(t, err)
	t.Cleanup(db.Close)
	_, err = other.alive.Exec(t.Context(), `select pg_advisory_lock($1, $2)`, int32(migrateLock), db.instance)
	must(t, err)
	if err := db.Live(t.Context()); err == nil {
		t.Error("others will take this process for dead, and it doesn't know")
	}
}
