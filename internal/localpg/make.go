package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
)

// needed is the space in MiB that a new data folder takes (measured with
// PostgreSQL 15: 39 MiB, and 16 MiB of write-ahead log with the first work).
const needed = 64

// initialise makes the data folder beside its place and moves it there whole,
// so that a crash in between leaves nothing half-made.
func initialise(ctx context.Context, p place) error {
	if err := sweep(p.dir); err != nil {
		return err
	}
	making, err := os.MkdirTemp(p.dir, makingPrefix)
	if err != nil {
		return fmt.Errorf("making the database: %w%s", err, space(p.dir))
	}
	defer os.RemoveAll(making)
	if err := p.acc.own(making); err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, filepath.Join(p.bin.dir, "initdb"), "-D", making, "-U", database, "-A", "peer",
		"-E", "UTF8", "--locale=C.UTF-8", "--data-checksums", "--no-instructions")
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := p.acc.run(cmd, making); err != nil {
		return fmt.Errorf("making the database in %s: %w:\n%s\n%s", p.data, err, tail(said.String()), strings.TrimSpace(space(p.dir)))
	}
	if err := errors.Join(os.Rename(making, p.data), syncFolder(p.dir)); err != nil {
		return fmt.Errorf("making the database: %w%s", err, space(p.dir))
	}
	return nil
}

const makingPrefix = "making-"

// sweep removes data folders that were never finished: a killed budcall left
// them, they never had their name, and we hold the lock.
func sweep(dir string) error {
	left, err := filepath.Glob(filepath.Join(dir, makingPrefix+"*"))
	for _, path := range left {
		err = errors.Join(err, os.RemoveAll(path))
	}
	if err != nil {
		return fmt.Errorf("removing an unfinished database: %w (remove it by hand, then start again)", err)
	}
	return nil
}

// letIn says who may be the role: root, us and the account, each known to the
// kernel by name. It is said at each start, for budcall's user may change.
func letIn(data string, acc account) error {
	names := []string{"root", userName(os.Geteuid()), acc.name}
	slices.Sort(names)
	var ident strings.Builder
	for _, name := range slices.Compact(names) {
		fmt.Fprintf(&ident, "budcall %q %s\n", name, database)
	}
	for name, body := range map[string]string{
		"pg_hba.conf":   "local all " + database + " peer map=budcall\n",
		"pg_ident.conf": ident.String(),
	} {
		if err := replace(filepath.Join(data, name), body, acc); err != nil {
			return fmt.Errorf("saying who may use the database: %w%s", err, space(data))
		}
	}
	return nil
}

// replace puts a file of the account's in the place of another, whole.
func replace(path, body string, acc account) error {
	if now, err := os.ReadFile(path); err == nil && string(now) == body {
		return nil
	}
	f, err := os.OpenFile(path+".new", os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(body)
	if acc.switched {
		err = errors.Join(err, f.Chown(acc.uid, acc.gid))
	}
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return errors.Join(os.Rename(path+".new", path), syncFolder(filepath.Dir(path)))
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// run runs a program as the account to its end. The thread is kept, for the
// program is ended when the thread that started it dies.
func (a account) run(cmd *exec.Cmd, dir string) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	a.become(cmd, dir)
	if cmd.Cancel != nil { // made with a context: what it started ends with it
		cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	}
	return cmd.Run()
}

// space says what to do where a disk is too full for a database; otherwise
// where to look.
func space(dir string) string {
	var disk syscall.Statfs_t
	if err := syscall.Statfs(dir, &disk); err != nil {
		return " (is there space on the disk?)"
	}
	return advice(uint64(disk.Bavail) * uint64(disk.Bsize) >> 20)
}

func advice(freeMiB uint64) string {
	if freeMiB < needed {
		return fmt.Sprintf(" (only %d MiB are free on that disk, and a new database takes %d: make space, or choose another place with --state DIR)", freeMiB, needed)
	}
	return fmt.Sprintf(" (%d MiB are free on that disk; if that isn't it, choose another place with --state DIR)", freeMiB)
}

// tail is the end of what a program said.
func tail(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return strings.Join(lines[max(0, len(lines)-5):], "\n")
}
