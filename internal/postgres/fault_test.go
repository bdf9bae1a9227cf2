package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"budcall/internal/localpg"
	"budcall/internal/notice"
)

func TestWhatMayPassByItself(t *testing.T) {
	for _, row := range []struct {
		sentence string
		err      error
		want     bool
	}{
		{"no error", nil, false},
		{"any error", errors.New("any"), false},
		{"the connection broke off", io.ErrUnexpectedEOF, true},
		{"the other side hung up", fmt.Errorf("reading: %w", &net.OpError{Op: "read", Err: syscall.ECONNRESET}), true},
		{"a broken connection is used", errors.New("conn closed"), true},
		{"nobody could be reached", &pgconn.ConnectError{}, true},
		// The classes of PostgreSQL's manual, appendix A.
		{"57P01: terminated by an administrator", &pgconn.PgError{Code: "57P01"}, true},
		{"57P03: it is starting", &pgconn.PgError{Code: "57P03"}, true},
		{"57014: the statement took too long", &pgconn.PgError{Code: "57014"}, true},
		{"55P03: a lock was not to be had", &pgconn.PgError{Code: "55P03"}, true},
		{"53100: disk full", &pgconn.PgError{Code: "53100"}, true},
		{"53300: too many connections", &pgconn.PgError{Code: "53300"}, true},
		{"08006: connection failure", &pgconn.PgError{Code: "08006"}, true},
		{"40001: in the way of another", &pgconn.PgError{Code: "40001"}, true},
		{"40P01: deadlock", &pgconn.PgError{Code: "40P01"}, true},
		{"23505: not unique", &pgconn.PgError{Code: "23505"}, false},
		{"42P01: no such table", &pgconn.PgError{Code: "42P01"}, false},
		{"28P01: wrong password", &pgconn.PgError{Code: "28P01"}, false},
	} {
		if got := Temporary(row.err); got != row.want {
			t.Errorf("%s: temporary %v", row.sentence, got)
		}
	}
}

func TestWhatIsSaidOfADatabaseThatCannotBeUsed(t *testing.T) {
	admin := process(t, in(t, "budcall"))
	one[int](t, admin, `select 1`)
	_, err := admin.pool.Exec(t.Context(), `create role stranger login`)
	must(t, err)
	for _, row := range []struct{ sentence, dsn, want string }{
		{"nobody listens there", "host=127.0.0.1 port=9 user=x dbname=x", "is it running"},
		{"no such database", in(t, "nowhere"), "createdb"},
		{"a user that may not come in", strings.Replace(in(t, "budcall"), "user=budcall", "user=stranger", 1), "refused the user or password"},
		{"an address that is none", "host=127.0.0.1 port=no", "reading the database address"},
	} {
		db, err := Open(t.Context(), Options{DSN: row.dsn})
		if err == nil {
			db.Close()
		}
		if err == nil || !strings.Contains(err.Error(), row.want) || !strings.HasSuffix(err.Error(), ")") {
			t.Errorf("%s: %v", row.sentence, err)
		}
	}
	for code, want := range map[string]string{"28P01": "refused the user or password", "53100": "free space"} {
		if err := Explain(&pgconn.PgError{Code: code}); !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", code, err)
		}
	}
	plain := errors.New("other")
	if got := Explain(plain); got != plain {
		t.Errorf("another error became %v", got)
	}
}

// A connection that the server ends in the middle of a piece takes nothing
// half-written with it, and the next attempt works.
func TestATerminatedTransactionLeavesNothing(t *testing.T) {
	dsn := fresh(t, true)
	db, other := process(t, dsn), process(t, dsn)
	run := begun(t, db, plan("pull", "06:10", map[Phase][]string{Advance: {"A"}}))
	id := piece(t, db, run, Advance, "A")
	err := db.Within(t.Context(), id, []string{"A"}, func(b *Book, _ Piece) (string, error) {
		must(t, b.Raise(t.Context(), "site:A", "half", noon))
		var pid int
		must(t, b.tx.QueryRow(t.Context(), `select pg_backend_pid()`).Scan(&pid))
		if !one[bool](t, other, `select pg_terminate_backend($1, 5000)`, pid) {
			t.Error("the server didn't end it")
		}
		return "", b.Raise(t.Context(), "site:B", "other half", noon)
	})
	if err == nil || !Temporary(err) {
		t.Errorf("temporary %v: %v", Temporary(err), err)
	}
	if n := one[int](t, db, `select count(*) from trouble`); n != 0 {
		t.Errorf("%d halves were kept", n)
	}
	finish(t, db, id)
	if got := phaseOf(t, db, run); got != "done" {
		t.Errorf("the run stands at %s", got)
	}
}

func TestTwoPiecesThatNameSitesInAnotherOrderDoNotBlockEachOther(t *testing.T) {
	db := memory(t)
	run := begun(t, db, plan("pull", "06:10", map[Phase][]string{Advance: {"A,B", "B,A"}}))
	var all sync.WaitGroup
	for key, sites := range map[string][]string{"A,B": {"A", "B"}, "B,A": {"B", "A"}} {
		id := piece(t, db, run, Advance, key)
		all.Go(func() {
			if err := db.Within(t.Context(), id, sites, func(*Book, Piece) (string, error) { return "", nil }); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if n := one[int](t, db, `select deadlocks from pg_stat_database where datname = current_database()`); n != 0 {
		t.Errorf("%d deadlocks", n)
	}
}

// The database goes away and comes back: what was sent meanwhile is booked
// once it is back, and the process shows again that it lives. Last of this
// package's tests in its file order, for it stops everybody's server.
func TestADatabaseThatIsAwayForAWhile(t *testing.T) {
	dsn := fresh(t, true)
	db := process(t, dsn)
	post(t, db, "l")
	take(t, db, "l", noon)
	must(t, db.Dot(t.Context(), "l"))
	must(t, server.Stop(t.Context()))
	if err := db.Ping(t.Context()); err == nil || !Temporary(err) {
		t.Errorf("while it is away: temporary %v: %v", Temporary(err), err)
	}
	if err := db.StillLive(t.Context()); err == nil {
		t.Error("it is said to show that it lives")
	}
	settled := make(chan error, 1)
	go func() {
		settled <- db.Settle(context.WithoutCancel(t.Context()), "l", notice.Settlement{State: notice.Sent, At: noon})
	}()
	again, err := localpg.Start(context.WithoutCancel(t.Context()), serverOptions(home))
	must(t, err)
	server = again
	select {
	case err := <-settled:
		must(t, err)
	case <-time.After(settleWithin + time.Minute):
		t.Fatal("what was sent is not booked")
	}
	if s := one[string](t, db, `select state from letter`); s != "sent" {
		t.Errorf("it stands as %q", s)
	}
	must(t, db.StillLive(t.Context()))
	if n := one[int](t, db, `select count(*) from pg_locks where locktype = 'advisory' and granted and objid = $1`, db.instance); n != 1 {
		t.Errorf("%d locks show that it lives", n)
	}
}
