package localpg

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// Two locks, both let go by the kernel however their holders end. "lock" is
// ours and keeps a second budcall out. "served" is handed to postgres, whose
// processes hold it together until the last of them is gone: what a killed
// budcall left behind is known by it, and not by a process number, which may
// have been given to another process.
const (
	ownLock    = "lock"
	serverLock = "served"
)

var errLocked = errors.New("locked")

// lock takes a lock file, or gives errLocked.
func lock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("locking the database's folder: %w (is there space on the disk?)", err)
	}
	switch err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); {
	case err == nil:
		return f, nil
	case errors.Is(err, syscall.EWOULDBLOCK):
		return nil, errors.Join(errLocked, f.Close())
	default:
		f.Close()
		return nil, fmt.Errorf("locking %s: %w (choose a place on a local disk with --state DIR)", path, err)
	}
}

// ErrInUse tells that another budcall has the folder.
var ErrInUse = errors.New("another budcall")

// briefly stands in the lock behind the number of a process that asks one
// question; so long at most another waits for it.
const (
	briefly     = "briefly"
	waitBriefly = time.Minute
)

// lockFolder keeps a second budcall from the same data. One that has it for one
// question only is waited for.
func lockFolder(ctx context.Context, dir string, brief bool) (*os.File, error) {
	path := filepath.Join(dir, ownLock)
	f, err := lock(path)
	for begun := time.Now(); errors.Is(err, errLocked); f, err = lock(path) {
		body, _ := os.ReadFile(path) // only for the message, and for how long to wait
		holder, mark, _ := strings.Cut(strings.TrimSpace(string(body)), " ")
		unwritten := holder == "" // who has just got the lock
		if mark != briefly && !unwritten || time.Since(begun) > waitBriefly {
			return nil, fmt.Errorf("%w (process %s) uses %s: stop it, or choose another place with --state DIR", ErrInUse, holder, dir)
		}
		select {
		case <-ctx.Done():
			return nil, fmt.Errorf("waiting for another budcall (process %s) to leave %s: %w", holder, dir, ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
	if err != nil {
		return nil, err
	}
	mark := strconv.Itoa(os.Getpid())
	if brief {
		mark += " " + briefly
	}
	if err = f.Truncate(0); err == nil {
		_, err = f.WriteAt([]byte(mark+"\n"), 0)
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("locking the database's folder: %w (is there space on the disk?)", err)
	}
	return f, nil
}

// takeOver waits until nothing that an earlier budcall left behind serves the
// data folder, asking it to stop, and gives the lock for the next server.
func takeOver(ctx context.Context, p place, log *slog.Logger) (*os.File, error) {
	begun, asked := time.Now(), syscall.Signal(0)
	for {
		held, err := lock(filepath.Join(p.dir, serverLock))
		if err == nil {
			if err := unclaimed(p, log); err != nil {
				held.Close()
				return nil, err
			}
			return held, nil
		}
		if !errors.Is(err, errLocked) {
			return nil, err
		}
		waited := time.Since(begun)
		if waited > orderlyStop+hardStop {
			return nil, fmt.Errorf("a PostgreSQL that an earlier budcall left behind (process %d) still serves %s: stop it, then start again", postmaster(p.data), p.data)
		}
		next := syscall.SIGINT
		if waited > orderlyStop {
			next = syscall.SIGQUIT
		}
		if pid := postmaster(p.data); next != asked && pid != 0 && serves(pid, p.data) {
			log.Info("stopping a private PostgreSQL left behind", "process", pid)
			_ = syscall.Kill(pid, next) // it may have ended just now
			asked = next
		}
		select {
		case <-ctx.Done():
			return nil, fmt.Errorf("waiting for an earlier PostgreSQL to end: %w", ctx.Err())
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// unclaimed refuses data that a PostgreSQL serves which somebody started by
// hand. Where postmaster.pid is a leftover whose number another process has by
// now, it is removed: PostgreSQL would take that process for itself.
func unclaimed(p place, log *slog.Logger) error {
	pid := postmaster(p.data)
	if pid == 0 || errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
		return nil
	}
	if serves(pid, p.data) {
		return fmt.Errorf("a PostgreSQL that budcall did not start (process %d) serves %s: stop it with `pg_ctl stop -D %[2]s`, then start again", pid, p.data)
	}
	log.Info("removing the mark of a PostgreSQL that is gone", "process", pid)
	if err := os.Remove(filepath.Join(p.data, "postmaster.pid")); err != nil {
		return fmt.Errorf("removing a leftover: %w (remove it by hand, then start again)", err)
	}
	return nil
}

// postmaster is the process number in postmaster.pid; 0 without one.
func postmaster(data string) int {
	body, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if err != nil {
		return 0
	}
	first, _, _ := strings.Cut(string(body), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || pid <= 1 {
		return 0
	}
	return pid
}
