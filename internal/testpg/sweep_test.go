package testpg

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

func TestOnlyFoldersThatKilledTestsLeftAreRemoved(t *testing.T) {
	temp := t.TempDir()
	now := time.Now()
	for _, row := range []struct {
		name  string
		age   time.Duration
		lock  bool // there is a lock file
		held  bool
		stays bool
	}{
		{prefix + "old", 2 * time.Hour, true, false, false},
		{prefix + "old-and-never-begun", 2 * time.Hour, false, false, false},
		{prefix + "old-and-running", 2 * time.Hour, true, true, true},
		{prefix + "new", time.Minute, true, false, true},
		{"something-else", 2 * time.Hour, true, false, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir := filepath.Join(temp, row.name)
			if err := os.MkdirAll(filepath.Join(dir, "pg"), 0o700); err != nil {
				t.Fatal(err)
			}
			if row.lock {
				f, err := os.Create(filepath.Join(dir, "pg", "lock"))
				if err != nil {
					t.Fatal(err)
				}
				defer f.Close()
				if row.held {
					if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX); err != nil {
						t.Fatal(err)
					}
				}
			}
			if err := os.Chtimes(dir, now, now.Add(-row.age)); err != nil {
				t.Fatal(err)
			}
			sweep(temp, now)
			if _, err := os.Stat(dir); (err == nil) != row.stays {
				t.Errorf("stays = %v, want %v", err == nil, row.stays)
			}
		})
	}
}
