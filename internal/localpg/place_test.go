package localpg_test

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	"budcall/internal/localpg"
)

// programs makes a folder with a postgres that only knows its version and an
// initdb that does what is said.
func programs(t *testing.T, version, initdb string) string {
	t.Helper()
	dir := filepath.Join(filepath.Dir(place(t)), "bin")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, body := range map[string]string{"postgres": "echo 'postgres (PostgreSQL) " + version + "'", "initdb": initdb} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+body+"\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestWhateverThePlaceAndTheEnvironmentAreCalled(t *testing.T) {
	t.Setenv("PGPORT", "6001") // for another database on the machine
	t.Setenv("PGDATA", "/nonexistent")
	for _, name := range []string{"a, b", strings.Repeat("long-", 20), "høyde"} {
		t.Run(name, func(t *testing.T) {
			s := start(t, filepath.Join(place(t), name))
			if got := run(t, s.DSN(), "select current_database() || ' ' || current_user"); got != "budcall budcall" {
				t.Errorf("got %q", got)
			}
		})
	}
}

func TestTheDatabaseIsMadeForUse(t *testing.T) {
	s := start(t, place(t))
	if got := run(t, s.DSN(), "select name || '=' || setting from pg_settings where name in ('data_checksums', 'server_encoding', 'TimeZone') order by name collate \"C\""); got != "TimeZone=UTC,data_checksums=on,server_encoding=UTF8" {
		t.Errorf("got %s", got)
	}
	if got := run(t, s.DSN(), "select datcollate from pg_database where datname = 'budcall'"); got != "C.UTF-8" {
		t.Errorf("it sorts by %s", got)
	}
}

func TestAFullDiskIsSaidAndNothingIsLeft(t *testing.T) {
	dir := place(t)
	full := programs(t, "15.1", `echo 'initdb: error: could not write file: No space left on device' >&2; exit 1`)
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir, BinDir: full})
	for _, want := range []string{"No space left on device", "MiB are free", "--state DIR"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing in: %v", want, err)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*a*")); len(left) > 0 { // data, making-…
		t.Errorf("left over: %v", left)
	}
	start(t, dir)
}

func TestAFolderOfOtherThingsIsNotTouched(t *testing.T) {
	dir := place(t)
	diary := filepath.Join(dir, "data", "diary.txt")
	if err := os.MkdirAll(filepath.Dir(diary), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(diary, []byte("first leaf"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), "no data folder of PostgreSQL") || !strings.Contains(err.Error(), "nothing was changed") {
		t.Errorf("got %v", err)
	}
	if body, _ := os.ReadFile(diary); string(body) != "first leaf" {
		t.Errorf("the diary holds %q", body)
	}
}

func TestDataOfAnotherUserAreRefusedWithACure(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give a folder to another user")
	}
	dir := place(t)
	if err := start(t, dir).Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(filepath.Join(dir, "data"), 65534, 65534); err != nil {
		t.Fatal(err)
	}
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), "chown -R postgres "+dir) {
		t.Errorf("got %v", err)
	}
}

func TestItsEndFromOutsideIsTold(t *testing.T) {
	s := start(t, place(t))
	if err := s.Err(); err != nil {
		t.Errorf("it runs, and yet: %v", err)
	}
	if err := syscall.Kill(postmaster(t, s.DSN()), syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	<-s.Done()
	if err := s.Err(); err == nil || !strings.Contains(err.Error(), "ended on its own") {
		t.Errorf("got %v", err)
	}
	stopped := start(t, place(t))
	if err := stopped.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	<-stopped.Done()
	if err := stopped.Err(); err != nil {
		t.Errorf("we stopped it, and yet: %v", err)
	}
}

func TestAStopThatCannotWaitIsToldAndLosesNothing(t *testing.T) {
	dir := place(t)
	s, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	run(t, s.DSN(), "create table kept as select 'birch' as what")
	// A server that stands still can't end in order.
	pid := postmaster(t, s.DSN())
	if err := syscall.Kill(pid, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	ended := make(chan error)
	go func() { ended <- s.Stop(ctx) }()
	if err := syscall.Kill(pid, syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	if err := <-ended; err != nil && !strings.Contains(err.Error(), "nothing is lost") {
		t.Error(err)
	}
	if got := run(t, start(t, dir).DSN(), "select what from kept"); got != "birch" {
		t.Errorf("got %q", got)
	}
}

func TestItsLogIsPassedOnWithoutStatementsAndNeverHoldsItUp(t *testing.T) {
	var log records
	s := startWith(t, localpg.Options{Dir: place(t), Logger: slog.New(&log)})
	// 64 lines of 300,000 bytes, far more than a pipe holds.
	run(t, s.DSN(), "do $$ begin for i in 1..64 loop raise warning 'much %', repeat('x', 300000); end loop; end $$")
	run(t, s.DSN(), "create table people (address text unique)")
	run(t, s.DSN(), "insert into people values ('ane@example.org')")
	run(t, s.DSN(), "insert into people values ('ane@example.org') on conflict do nothing")
	run(t, s.DSN(), "do $$ begin raise warning 'the last line'; end $$")
	if msg := fails(t, s.DSN(), "insert into people values ('ane@example.org')"); !strings.Contains(msg, "people_address_key") {
		t.Errorf("got %s", msg)
	}
	if err := s.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	eventually(t, 5e9, "the last line in the log", func() bool { return log.count(slog.LevelWarn, "the last line") == 1 })
	if n := log.count(slog.LevelWarn, "much x"); n != 64 {
		t.Errorf("%d of 64 warnings came through", n)
	}
	if n := log.count(slog.LevelDebug, "people_address_key"); n != 1 {
		t.Errorf("the error was told %d times", n)
	}
	if n := log.count(slog.LevelDebug, "ane@") + log.count(slog.LevelWarn, "ane@"); n != 0 {
		t.Error("an address stands in the log")
	}
}

// records is a log kept in memory.
type records struct {
	mu   sync.Mutex
	seen []string
}

func (r *records) Enabled(context.Context, slog.Level) bool { return true }
func (r *records) WithAttrs([]slog.Attr) slog.Handler       { return r }
func (r *records) WithGroup(string) slog.Handler            { return r }
func (r *records) Handle(_ context.Context, rec slog.Record) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	line := rec.Level.String()
	rec.Attrs(func(a slog.Attr) bool { line += fmt.Sprintf(" %v", a.Value); return true })
	r.seen = append(r.seen, line)
	return nil
}

func (r *records) count(level slog.Level, text string) (n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, line := range r.seen {
		if strings.HasPrefix(line, level.String()) && strings.Contains(line, text) {
			n++
		}
	}
	return n
}
