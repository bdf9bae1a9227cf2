package app_test

import (
	"net/http"
	"os"
	shell "os/exec"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/civil"
)

// smallDisk mounts a small disk for a test, or skips it where that isn't
// allowed.
func smallDisk(t *testing.T, options string) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "budcall-disk-") // t.TempDir is closed to PostgreSQL's user
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Remove(dir) })
	if out, err := shell.Command("mount", "-t", "tmpfs", "-o", options+",mode=0711", "none", dir).CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted here (root may): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := shell.Command("umount", "-l", dir).CombinedOutput(); err != nil {
			t.Errorf("%v %s", err, out)
		}
	})
	return dir
}

// fill takes all the space of a disk; the file that takes it is returned.
func fill(t *testing.T, disk string) string {
	t.Helper()
	f, err := os.Create(filepath.Join(disk, "filler"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 1<<16); len(block) > 0; {
		if _, err := f.Write(block); err != nil {
			block = block[:len(block)/2]
		}
	}
	return f.Name()
}

// The disk of the private PostgreSQL fills up while the program works: it
// stays up, says that it isn't ready for want of space, and goes on when there
// is space again, with everything as if nothing had been.
func TestAFullDiskIsWaitedOut(t *testing.T) {
	t.Parallel()
	disk := smallDisk(t, "size=160m")
	sameLife(t, lived(t, app.Options{State: disk}, func(p *programme, dsn string) {
		eventually(t, "work has begun", func() bool { return reached(t, dsn, at("2016-04-28 03:10")) })
		says(t, refused(t, app.Options{Dir: p.dir, State: disk, Clock: civil.Of(2016, 4, 28)}), "another budcall", disk, "stop it", "--state DIR")
		filler := fill(t, disk)
		eventually(t, "not ready for want of space", func() bool {
			code, why := p.readyz()
			return code == http.StatusServiceUnavailable && strings.Contains(why, "disk is full") && strings.Contains(why, "free space")
		})
		if err := os.Remove(filler); err != nil {
			t.Fatal(err)
		}
		eventually(t, "ready again", func() bool { code, _ := p.readyz(); return code == http.StatusOK })
	}))
}
