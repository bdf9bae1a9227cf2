package cli_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/postgres"
	"budcall/internal/testpg"
)

// A restore that is killed leaves the database as it was, or as it was backed
// up, and nothing in between; the next one goes through.
func TestAKilledRestoreLeavesNothingHalfWritten(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute's work: not in short mode")
	}
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "full.backup")
	from := database(t, dir, "from")
	execute(t, from.dsn, `
		insert into station_day (station, day, mean_c, seen_at) select 'S' || s, date '2000-01-01' + d, d / 7.0, now() from generate_series(1, 40) s, generate_series(1, 5000) d`)
	backupOf(t, from.dsn, file)
	to := database(t, dir, "to")
	execute(t, to.dsn, `insert into trouble (subject, since, text) values ('old', now(), 'what was here before')`)
	args := []string{"restore", file, "--replace", "--state", filepath.Join(dir, "state"), "--database-file", to.file}
	const whole = "200000 0 true"
	state := func() string {
		return ask(t, to.dsn, `select (select count(*) from station_day) || ' ' || (select count(*) from trouble) || ' ' || exists (select 1 from held)`)
	}
	rng := rand.New(rand.NewPCG(3, 9))
	seen := map[string]int{}
	for range 12 {
		c := exec.Command(path, args...)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(20+rng.IntN(900)) * time.Millisecond) // the killer's patience, not a wait for something
		_ = c.Process.Kill()                                           // it may be done already
		_ = c.Wait()
		now := state()
		seen[now]++
		if now != "0 1 false" && now != whole {
			t.Fatalf("a killed restore left %q", now)
		}
		if now == whole { // as before, for the next
			execute(t, to.dsn, `truncate station_day, held; insert into trouble (subject, since, text) values ('old', now(), 'what was here before')`)
		}
	}
	t.Logf("after kills the database stood as %v", seen)
	if seen["0 1 false"] == 0 {
		t.Error("no restore was killed while it worked")
	}
	var out []byte
	for range 50 { // PostgreSQL may still be undoing the last one
		if out, err = exec.Command(path, args...).CombinedOutput(); err == nil || !strings.Contains(string(out), "another process") {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if err != nil || state() != whole {
		t.Errorf("the last restore says %s, %v, and left %q", out, err, state())
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("files are left behind: %q", left)
	}
}

// place is a database, and the file that holds its address.
type place struct{ dsn, file string }

func database(t *testing.T, dir, name string) place {
	t.Helper()
	p := place{testpg.New(t), filepath.Join(dir, name)}
	if err := os.WriteFile(p.file, []byte(p.dsn), 0o600); err != nil {
		t.Fatal(err)
	}
	return p
}

func execute(t *testing.T, dsn, sql string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if _, err := conn.Exec(t.Context(), sql); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func ask(t *testing.T, dsn, sql string) (text string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if err := conn.QueryRow(t.Context(), sql).Scan(&text); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return text
}

// backupOf writes a backup of a database that no program has lived in.
func backupOf(t *testing.T, dsn, file string) {
	t.Helper()
	db, err := postgres.Open(t.Context(), postgres.Options{DSN: dsn, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	_, err = db.Backup(t.Context(), f, postgres.BackupOptions{MadeAt: time.Now(), Now: time.Now()})
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
}
