package localpg_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/localpg"
)

// When this variable is set the test binary is a program that starts a private
// PostgreSQL, says so, and waits to be killed.
const asParent = "LOCALPG_TEST_PARENT"

func TestMain(m *testing.M) {
	if dir := os.Getenv(asParent); dir != "" {
		s, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println("ready", s.DSN())
		<-s.Done()
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// place is a folder that the user of PostgreSQL can reach.
func place(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "localpg-test-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(dir, "pg")
}

func start(t *testing.T, dir string) *localpg.Server {
	t.Helper()
	return startWith(t, localpg.Options{Dir: dir})
}

func startWith(t *testing.T, o localpg.Options) *localpg.Server {
	t.Helper()
	s, err := localpg.Start(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
	return s
}

func run(t *testing.T, dsn, sql string) string {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	rows, err := conn.Query(ctx, sql)
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(got, ",")
}

func TestWhatIsStoredIsThereAfterARestart(t *testing.T) {
	dir := place(t)
	s := start(t, dir)
	run(t, s.DSN(), "create table kept as select 'birch' as what")
	if err := s.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	again := start(t, dir)
	if got := run(t, again.DSN(), "select what from kept"); got != "birch" {
		t.Errorf("got %q", got)
	}
}

func TestItIsReachedByItsSocketOnlyAndNeverRunsAsRoot(t *testing.T) {
	s := start(t, place(t))
	if got := run(t, s.DSN(), "select setting from pg_settings where name in ('listen_addresses', 'fsync') order by name"); got != "on," {
		t.Errorf("fsync, listen_addresses = %q", got)
	}
	if os.Geteuid() == 0 {
		pid := run(t, s.DSN(), `select split_part(pg_read_file('postmaster.pid'), E'\n', 1)`) // lives on when the connection is closed
		var st syscall.Stat_t
		if err := syscall.Stat("/proc/"+pid, &st); err != nil || st.Uid == 0 {
			t.Errorf("process %s belongs to user %d, %v", pid, st.Uid, err)
		}
	}
}

func TestASecondStartOnTheSameFolderIsRefused(t *testing.T) {
	dir := place(t)
	start(t, dir)
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("process %d", os.Getpid())) || !strings.Contains(err.Error(), "--state") {
		t.Errorf("got %v", err)
	}
}

// A command that asks one question, say from cron, must not keep the program
// from starting.
func TestWhoHasTheFolderBrieflyIsWaitedFor(t *testing.T) {
	dir := place(t)
	if err := start(t, dir).Stop(context.Background()); err != nil { // made beforehand, so that starting is quick
		t.Fatal(err)
	}
	brief, err := localpg.Start(context.Background(), localpg.Options{Dir: dir, Brief: true})
	if err != nil {
		t.Fatal(err)
	}
	impatient, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	if _, err := localpg.Start(impatient, localpg.Options{Dir: dir}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("got %v", err)
	}
	type started struct {
		s   *localpg.Server
		err error
	}
	came := make(chan started)
	go func() {
		s, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
		came <- started{s, err}
	}()
	if err := brief.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	next := <-came
	if next.err != nil {
		t.Fatal(next.err)
	}
	t.Cleanup(func() { next.s.Stop(context.Background()) })
	if _, err := localpg.Start(context.Background(), localpg.Options{Dir: dir, Brief: true}); !errors.Is(err, localpg.ErrInUse) {
		t.Errorf("got %v", err)
	}
}

func TestDataOfAnotherVersionAreRefusedAndLeftAlone(t *testing.T) {
	dir := place(t)
	if err := start(t, dir).Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	version := filepath.Join(dir, "data", "PG_VERSION")
	if err := os.WriteFile(version, []byte("9\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), "PostgreSQL 9") || !strings.Contains(err.Error(), "nothing was changed") {
		t.Errorf("got %v", err)
	}
	if body, _ := os.ReadFile(version); string(body) != "9\n" {
		t.Errorf("the data folder was touched: %q", body)
	}
}

func TestMissingProgramsSayWhatToInstall(t *testing.T) {
	t.Setenv("BUDCALL_PG_BIN", t.TempDir())
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: place(t)})
	for _, want := range []string{"initdb", "BUDCALL_PG_BIN", "apt-get install postgresql", "dnf", "brew"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing in: %v", want, err)
		}
	}
}

func TestAPlaceThatItsUserCannotReachIsRefusedWithACure(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root runs PostgreSQL as another user")
	}
	closed, err := os.MkdirTemp("", "localpg-closed-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(closed) })
	_, err = localpg.Start(context.Background(), localpg.Options{Dir: filepath.Join(closed, "pg")})
	if err == nil || !strings.Contains(err.Error(), closed+" is closed") || !strings.Contains(err.Error(), "--state") {
		t.Errorf("got %v", err)
	}
}

// fails runs a statement that must fail and gives what the server said.
func fails(t *testing.T, dsn, sql string) string {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err = conn.Exec(ctx, sql); err == nil {
		t.Fatalf("%s did not fail", sql)
	}
	return err.Error()
}
