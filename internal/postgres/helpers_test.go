package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/localpg"
	"budcall/internal/notice"
)

// These tests are inside the package because they look at rows that nobody
// else may see. testpg imports postgres, so they start the server themselves.

var server *localpg.Server

func TestMain(m *testing.M) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, m)
	stop()
	os.Exit(code)
}

func run(ctx context.Context, m *testing.M) int {
	dir, err := os.MkdirTemp("", "budcall-memory-")
	if err == nil {
		defer os.RemoveAll(dir)
		err = os.Chmod(dir, 0o711) // another user runs PostgreSQL when we are root
	}
	if err == nil {
		server, err = localpg.Start(ctx, serverOptions(dir))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "no database for tests:", err)
		return 1
	}
	defer func() { server.Stop(context.Background()) }()
	if err := Migrate(ctx, server.DSN()); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	home = dir
	return m.Run()
}

var home string

func serverOptions(dir string) localpg.Options {
	return localpg.Options{Dir: dir + "/pg", Settings: map[string]string{"fsync": "off", "synchronous_commit": "off", "max_connections": "120"}}
}

var databases struct {
	sync.Mutex
	n int
}

// fresh gives the address of a database: empty, or a copy of the migrated one.
func fresh(t testing.TB, migrated bool) string {
	t.Helper()
	databases.Lock()
	defer databases.Unlock()
	databases.n++
	name, template := fmt.Sprintf("m%d", databases.n), "template0"
	if migrated {
		template = "budcall"
	}
	admin, err := pgx.Connect(t.Context(), in(t, "postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(context.Background())
	if _, err := admin.Exec(t.Context(), "create database "+name+" template "+template); err != nil {
		t.Fatal(err)
	}
	return in(t, name)
}

// in is the address of another database on the server.
func in(t testing.TB, name string) string {
	t.Helper()
	cfg, err := pgx.ParseConfig(server.DSN())
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("host=%s port=%d user=%s dbname=%s", cfg.Host, cfg.Port, cfg.User, name)
}

// process opens a memory as a process of its own would.
func process(t testing.TB, dsn string) *DB {
	t.Helper()
	db, err := Open(t.Context(), Options{DSN: dsn, MaxConns: 4})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(db.Close)
	if err := db.Live(t.Context()); err != nil {
		t.Fatal(err)
	}
	return db
}

func memory(t testing.TB) *DB {
	t.Helper()
	return process(t, fresh(t, true))
}

// one reads a single value.
func one[T any](t *testing.T, db *DB, sql string, args ...any) (v T) {
	t.Helper()
	if err := db.pool.QueryRow(t.Context(), sql, args...).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

// must ends the test where something that should work doesn't.
func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// noon is a moment in the program's time.
var noon = time.Date(2031, 4, 20, 12, 0, 0, 0, time.UTC)

// plan is a run with pieces; a report goes on beside others.
func plan(name, nominal string, pieces map[Phase][]string) Plan {
	return Plan{Run: Run{Name: name, Day: civil.At(noon), Nominal: nominal, Due: noon, At: noon}, Pieces: pieces, Beside: name == "report"}
}

// begun begins a run and gives its id.
func begun(t *testing.T, db *DB, p Plan) int64 {
	t.Helper()
	ok, err := db.Begin(t.Context(), p)
	if err != nil || !ok {
		t.Fatalf("the run %s %s was not begun: %v", p.Name, p.Nominal, err)
	}
	return one[int64](t, db, `select max(id) from run`)
}

func piece(t *testing.T, db *DB, run int64, phase Phase, key string) int64 {
	t.Helper()
	return one[int64](t, db, `select id from work where run_id = $1 and phase = $2 and key = $3`, run, string(phase), key)
}

func phaseOf(t *testing.T, db *DB, run int64) string {
	t.Helper()
	return one[string](t, db, `select phase from run where id = $1`, run)
}

// finish does a piece without writing anything.
func finish(t *testing.T, db *DB, id int64) {
	t.Helper()
	must(t, db.Within(t.Context(), id, nil, func(*Book, Piece) (string, error) { return "", nil }))
}

// post stores a letter that is to be sent.
func post(t *testing.T, db *DB, id string) {
	t.Helper()
	must(t, db.tx(t.Context(), func(tx pgx.Tx) error {
		return db.writeLetter(t.Context(), tx, notice.Parcel{
			ID: id, Channel: notice.ByMail, Target: "maia", Kind: "calls", Content: json.RawMessage(`{"id":"x"}`),
			WrittenAt: noon, ExpiresAt: noon.Add(24 * time.Hour),
		})
	}))
}
