// Package testpg is a migrated database of its own for each test, on a private
// PostgreSQL that the test process starts and throws away.
package testpg

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/localpg"
	"budcall/internal/postgres"
)

// template is the database that each test's is a copy of.
const template = "migrated"

// home is the private PostgreSQL of this test process.
type home struct {
	dir    string
	server *localpg.Server
	failed error
	count  atomic.Int64
}

var (
	ours home
	once sync.Once
)

// Main runs a package's tests and throws the private PostgreSQL away after:
// func TestMain(m *testing.M) { testpg.Main(m) }.
func Main(m *testing.M) {
	code := m.Run()
	if err := ours.close(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// New gives the address of an empty migrated database, dropped after the test.
// A machine without PostgreSQL fails the test and says how to install it.
func New(t testing.TB) string {
	t.Helper()
	Server(t)
	name := fmt.Sprintf("t%d", ours.count.Add(1))
	ours.exec(t, "create database "+name+" template "+template)
	t.Cleanup(func() {
		if !ours.up() { // a test may have stopped it
			return
		}
		// One that a busy machine doesn't let go yet goes with the server.
		if err := run(context.Background(), ours.server.DSN(), "drop database "+name+" with (force)"); err != nil {
			t.Logf("the database for tests %s stays for now: %v", name, err)
		}
	})
	dsn, err := at(ours.server.DSN(), name)
	if err != nil {
		t.Fatal(err)
	}
	return dsn
}

// Server gives the private PostgreSQL itself, started at the first call.
func Server(t testing.TB) *localpg.Server {
	t.Helper()
	once.Do(func() { ours.failed = ours.start(context.Background()) })
	if ours.failed != nil {
		t.Fatalf("no database for tests: %v", ours.failed)
	}
	return ours.server
}

// start starts the server and makes the template.
func (h *home) start(ctx context.Context) (err error) {
	sweep(os.TempDir(), time.Now())
	if h.dir, err = os.MkdirTemp("", prefix); err != nil {
		return err
	}
	if err := os.Chmod(h.dir, 0o711); err != nil { // another user runs PostgreSQL when we are root
		return err
	}
	// Tests may lose their data, so they needn't wait for the disk.
	fast := map[string]string{"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off", "max_connections": "200"}
	if h.server, err = localpg.Start(ctx, localpg.Options{Dir: filepath.Join(h.dir, "pg"), Settings: fast}); err != nil {
		return err
	}
	if err := run(ctx, h.server.DSN(), "create database "+template); err != nil {
		return err
	}
	dsn, err := at(h.server.DSN(), template)
	if err != nil {
		return err
	}
	return postgres.Migrate(ctx, dsn)
}

func (h *home) up() bool {
	select {
	case <-h.server.Done():
		return false
	default:
		return true
	}
}

// close throws the server and its data away.
func (h *home) close() error {
	var err error
	if h.server != nil {
		err = h.server.Stop(context.Background())
	}
	if h.dir != "" {
		err = errors.Join(err, os.RemoveAll(h.dir))
	}
	return err
}

func (h *home) exec(t testing.TB, sql string) {
	t.Helper()
	if err := run(context.Background(), h.server.DSN(), sql); err != nil {
		t.Fatalf("the database for tests: %s: %v", sql, err)
	}
}

func run(ctx context.Context, dsn, sql string) error {
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return err
	}
	_, err = conn.Exec(ctx, sql)
	return errors.Join(err, conn.Close(ctx))
}

// at gives the address of another database on the same server.
func at(dsn, name string) (string, error) {
	u, err := url.Parse(dsn)
	if err != nil {
		return "", fmt.Errorf("the address of the database for tests: %w", err)
	}
	u.Path = "/" + name
	return u.String(), nil
}
