package app_test

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/localpg"
	"budcall/internal/testpg"
)

// reached reports whether the simulated time of a database has come to a time.
func reached(t *testing.T, dsn string, when time.Time) bool {
	t.Helper()
	return ask(t, dsn, `select (at >= $1)::text from simulated_clock`, when) == "true"
}

// lived is what is decided in the days before springEnd by a program that is
// disturbed while it works. Without an address the private PostgreSQL is used.
func lived(t *testing.T, o app.Options, disturb func(p *programme, dsn string)) string {
	t.Helper()
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	o.Dir, o.Clock = p.dir, civil.Of(2016, 4, 28)
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	dsn := o.DSN
	if dsn == "" {
		dsn = a.LocalDSN()
	}
	stop := running(t, a, func(ctx context.Context) error { return a.Simulate(ctx, 0) })
	disturb(p, dsn)
	eventually(t, "the end of the days", func() bool { return reached(t, dsn, springEnd) })
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	return decided(t, dsn, springEnd)
}

var springEnd = at("2016-05-06 12:00")

// undisturbed is the same without a disturbance, lived once for all tests.
func undisturbed(t *testing.T) string {
	t.Helper()
	calm.Do(func() { calmLife = lived(t, app.Options{DSN: testpg.New(t)}, func(*programme, string) {}) })
	if strings.Count(calmLife, "\n") < 30 {
		t.Fatalf("hardly anything was decided undisturbed:\n%s", calmLife)
	}
	return calmLife
}

var (
	calm     sync.Once
	calmLife string
)

// sameLife compares two lives, and says where they part.
func sameLife(t *testing.T, disturbed string) {
	t.Helper()
	want, got := strings.Split(undisturbed(t), "\n"), strings.Split(disturbed, "\n")
	for i := range min(len(want), len(got)) {
		if want[i] != got[i] {
			t.Fatalf("undisturbed:\n%s\ndisturbed:\n%s", want[i], got[i])
		}
	}
	if len(want) != len(got) {
		t.Errorf("%d things were decided undisturbed, %d disturbed", len(want), len(got))
	}
}

// Every connection is cut again and again while spring goes by: all that was
// decided and told is what it is in an undisturbed program.
func TestCutConnectionsChangeNothing(t *testing.T) {
	t.Parallel()
	sameLife(t, lived(t, app.Options{DSN: testpg.New(t)}, func(_ *programme, dsn string) {
		storm, err := pgx.Connect(t.Context(), testpg.Server(t).DSN())
		if err != nil {
			t.Fatal(err)
		}
		defer storm.Close(context.Background())
		name, cuts := ask(t, dsn, `select current_database()`), 0
		eventually(t, "connections to cut", func() bool {
			var n int
			if err := storm.QueryRow(t.Context(), `select count(pg_terminate_backend(pid)) from pg_stat_activity where datname = $1`, name).Scan(&n); err != nil {
				t.Fatal(err)
			}
			cuts += n
			time.Sleep(25 * time.Millisecond) // the pace of the storm
			return cuts >= 25
		})
	}))
}

// ownServer is a PostgreSQL that a test may stop and start again.
func ownServer(t *testing.T) (dsn string, stop, start func()) {
	t.Helper()
	dir, err := os.MkdirTemp("", "budcall-own-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	var s *localpg.Server
	start = func() {
		if s, err = localpg.Start(context.Background(), localpg.Options{Dir: filepath.Join(dir, "pg"), Settings: map[string]string{"fsync": "off"}}); err != nil {
			t.Fatal(err)
		}
	}
	stop = func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	}
	start()
	t.Cleanup(func() { stop(); os.RemoveAll(dir) })
	return s.DSN(), stop, start
}

// A database that is gone for a while: the program stays up, says that it
// isn't ready and why, and goes on by itself. So with both kinds of time.
func TestADatabaseThatIsGoneForAWhile(t *testing.T) {
	t.Parallel()
	dsn, stopServer, startServer := ownServer(t)
	box := &letterbox{}
	rows := []struct {
		name string
		day  civil.Date
		work func(*app.App) func(context.Context) error
	}{
		{"simulated time", civil.Of(2016, 4, 20), func(a *app.App) func(context.Context) error {
			return func(ctx context.Context) error { return a.Simulate(ctx, 4) }
		}},
		{"real time", 0, func(a *app.App) func(context.Context) error { return a.Run }},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			if row.day == 0 {
				exec(t, dsn, `drop schema public cascade`)
				exec(t, dsn, `create schema public`)
				exec(t, dsn, `drop schema if exists queue cascade`)
			}
			p := newProgramme(t, relayAt(t, "", box, nil).Addr())
			a, err := start(t, app.Options{Dir: p.dir, DSN: dsn, Clock: row.day})
			if err != nil {
				t.Fatal(err)
			}
			stop := running(t, a, row.work(a))
			ready := func() bool { code, _ := p.readyz(); return code == http.StatusOK }
			eventually(t, "ready", ready)
			for range 2 {
				stopServer()
				eventually(t, "not ready, with the reason", func() bool {
					code, why := p.readyz()
					return code == http.StatusServiceUnavailable && strings.Contains(why, "the database can't be reached")
				})
				startServer()
				eventually(t, "ready again", ready)
			}
			runs := ask(t, dsn, `select count(*)::text from run`)
			if row.day == 0 { // the folder is looked at again by itself
				good := readFile(t, filepath.Join(p.dir, "people.yml"))
				p.file(t, "people.yml", "people: [")
				eventually(t, "the bad configuration is told", func() bool { return strings.Contains(troubles(t, a), "people.yml:1") })
				p.file(t, "people.yml", good)
				eventually(t, "the mended one is accepted", func() bool { return troubles(t, a) == "" })
			} else {
				eventually(t, "the next run", func() bool { return ask(t, dsn, `select count(*)::text from run`) != runs })
			}
			if err := stop(); err != nil {
				t.Error(err)
			}
		})
	}
}
