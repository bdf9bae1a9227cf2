package localpg_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"budcall/internal/localpg"
)

// parent is another process that starts a private PostgreSQL, to be killed.
type parent struct {
	cmd *exec.Cmd
	out *bufio.Reader
}

func newParent(t *testing.T, dir string, env ...string) *parent {
	t.Helper()
	p := &parent{cmd: exec.Command(os.Args[0])}
	p.cmd.Env = append(append(os.Environ(), asParent+"="+dir), env...)
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.out = bufio.NewReader(out)
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.kill)
	return p
}

// ready waits for the server and gives its address and process.
func (p *parent) ready(t *testing.T) (dsn string, pid int) {
	t.Helper()
	line, err := p.out.ReadString('\n')
	dsn, is := strings.CutPrefix(strings.TrimSpace(line), "ready ")
	if err != nil || !is {
		rest, _ := io.ReadAll(p.out)
		t.Fatalf("the parent said %q%s, %v", line, rest, err)
	}
	return dsn, postmaster(t, dsn)
}

func (p *parent) kill() {
	_ = p.cmd.Process.Kill() // killed before, in most tests
	_ = p.cmd.Wait()
}

// postmaster asks a server for the number of its process.
func postmaster(t *testing.T, dsn string) int {
	t.Helper()
	first, _, _ := strings.Cut(run(t, dsn, "select pg_read_file('postmaster.pid')"), "\n")
	pid, err := strconv.Atoi(first)
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

// lives reports whether a process runs; one that is dead and not yet collected
// by whoever inherited it doesn't.
func lives(pid int) bool {
	if syscall.Kill(pid, 0) != nil {
		return false
	}
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err != nil || !strings.Contains(string(stat), ") Z ")
}

// eventually looks until what is awaited is there, for as long as said.
func eventually(t *testing.T, within time.Duration, what string, there func() bool) {
	t.Helper()
	for deadline := time.Now().Add(within); !there(); {
		if time.Now().After(deadline) {
			t.Fatalf("not within %s: %s", within, what)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

func TestItEndsWithAKilledParentAndStartsAgain(t *testing.T) {
	dir := place(t)
	// By a link: a server is known by the real path of its folder.
	link := filepath.Join(filepath.Dir(dir), "link")
	if err := os.Symlink(filepath.Base(dir), link); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	p := newParent(t, link)
	dsn, pid := p.ready(t)
	run(t, dsn, "create table kept as select 'birch' as what")
	p.kill()
	eventually(t, time.Minute, "the end of the server of a killed parent", func() bool { return !lives(pid) })
	if got := run(t, start(t, link).DSN(), "select what from kept"); got != "birch" {
		t.Errorf("got %q", got)
	}
}

func TestAStartWaitsForAServerLeftBehind(t *testing.T) {
	dir := place(t)
	p := newParent(t, dir)
	dsn, pid := p.ready(t)
	run(t, dsn, "create table kept as select 'birch' as what")
	if err := syscall.Kill(pid, syscall.SIGSTOP); err != nil { // it can't end yet
		t.Fatal(err)
	}
	p.kill()
	// The start says that it asks the old one to stop; only then can that go on,
	// unless the kernel has woken it (a stopped process is continued when its
	// group is orphaned) and it has ended before the start looked.
	said := &waker{text: "left behind", wake: func() { syscall.Kill(pid, syscall.SIGCONT) }}
	s := startWith(t, localpg.Options{Dir: dir, Logger: slog.New(slog.NewTextHandler(said, nil))})
	if got := run(t, s.DSN(), "select what from kept"); got != "birch" || said.times > 1 {
		t.Errorf("got %q, told %d times", got, said.times)
	}
	if now := postmaster(t, s.DSN()); now == pid || lives(pid) {
		t.Errorf("process %d still runs; the new one is %d", pid, now)
	}
}

// waker is a log that does something at a line.
type waker struct {
	text  string
	wake  func()
	times int
}

func (w *waker) Write(b []byte) (int, error) {
	if strings.Contains(string(b), w.text) {
		w.times++
		w.wake()
	}
	return len(b), nil
}

func TestAKillInTheMiddleOfMakingLeavesNothingHalfMade(t *testing.T) {
	dir := place(t)
	slow := programs(t, "15.1", `touch "$2/PG_VERSION"; exec sleep 600`)
	p := newParent(t, dir, "BUDCALL_PG_BIN="+slow)
	eventually(t, time.Minute, "the begin of initdb", func() bool {
		found, _ := filepath.Glob(filepath.Join(dir, "making-*", "PG_VERSION"))
		return len(found) == 1
	})
	p.kill()
	if _, err := os.Stat(filepath.Join(dir, "data")); err == nil {
		t.Error("a half-made data folder has its name")
	}
	start(t, dir)
	if left, _ := filepath.Glob(filepath.Join(dir, "making-*")); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
}

func TestANumberThatAnotherProcessGotIsNoServer(t *testing.T) {
	dir := place(t)
	s := start(t, dir)
	account := os.Geteuid()
	if account == 0 {
		var st syscall.Stat_t
		if err := syscall.Stat(filepath.Join(dir, "data"), &st); err != nil {
			t.Fatal(err)
		}
		account = int(st.Uid)
	}
	if err := s.Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	// As after a crash of the machine: the mark is there, and by now some other
	// process of that user has the number.
	other := exec.Command("sleep", "600")
	other.Dir = "/"
	if os.Geteuid() == 0 {
		other.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(account), Gid: uint32(account)}}
	}
	if err := other.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { other.Process.Kill(); other.Wait() }()
	mark := filepath.Join(dir, "data", "postmaster.pid")
	body := fmt.Sprintf("%d\n%s\n1\n5432\n\n\n", other.Process.Pid, filepath.Join(dir, "data"))
	if err := os.WriteFile(mark, []byte(body), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(mark, account, -1); err != nil {
		t.Fatal(err)
	}
	start(t, dir)
	if !lives(other.Process.Pid) {
		t.Error("the other process was ended")
	}
}

func TestAServerStartedByHandIsRefusedAndLeftAlone(t *testing.T) {
	dir := place(t)
	if err := start(t, dir).Stop(context.Background()); err != nil {
		t.Fatal(err)
	}
	// Any process that works in the data folder and is named there.
	other := exec.Command("sleep", "600")
	other.Dir = filepath.Join(dir, "data")
	if err := other.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { other.Process.Kill(); other.Wait() }()
	mark := filepath.Join(dir, "data", "postmaster.pid")
	if err := os.WriteFile(mark, fmt.Appendf(nil, "%d\n", other.Process.Pid), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := localpg.Start(context.Background(), localpg.Options{Dir: dir})
	if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("process %d", other.Process.Pid)) || !strings.Contains(err.Error(), "pg_ctl stop") {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(mark); err != nil || !lives(other.Process.Pid) {
		t.Errorf("it was not left alone: %v", err)
	}
}
