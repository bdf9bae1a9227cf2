package testpg

import (
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// prefix begins the name of a test process's folder.
const prefix = "budcall-testpg-"

// sweep removes what killed test processes left under temp: folders that
// nobody holds the lock of and that are old enough not to be just in the
// making. What can't be removed stays: it harms nobody.
func sweep(temp string, now time.Time) {
	left, err := filepath.Glob(filepath.Join(temp, prefix+"*"))
	if err != nil {
		return
	}
	for _, dir := range left {
		if info, err := os.Stat(dir); err == nil && now.Sub(info.ModTime()) > time.Hour && !held(filepath.Join(dir, "pg", "lock")) {
			_ = os.RemoveAll(dir) // another user's, perhaps
		}
	}
}

// held reports whether a process holds a lock file, or we can't tell.
func held(path string) bool {
	f, err := os.Open(path)
	if os.IsNotExist(err) {
		return false
	}
	if err != nil {
		return true
	}
	defer f.Close()
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) != nil
}
