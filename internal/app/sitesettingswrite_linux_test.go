package app_test

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"budcall/internal/app"
)

// Where the program's user may not write, it says what to do.
func TestAFolderThatIsSomebodyElses(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can try as another user; TestAFolderThatMayNotBeWritten tries it as anybody")
	}
	dir, err := os.MkdirTemp("", "budcall-folder-") // not below a folder of the test's own, which nobody else may enter
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	for _, err := range []error{os.Chmod(dir, 0o755), os.Mkdir(filepath.Join(dir, "sites"), 0o755), os.WriteFile(filepath.Join(dir, "sites/a.yml"), []byte("old"), 0o644)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	asNobody := func(do func() error) (err error) {
		done := make(chan error)
		go func() {
			runtime.LockOSThread() // never unlocked: the thread ends with its user
			if err := syscall.Setfsuid(65534); err != nil {
				done <- err
				return
			}
			done <- do()
		}()
		return <-done
	}
	for name, do := range map[string]func() error{
		"trying":    func() error { return app.Writable(dir, "sites/a.yml") },
		"replacing": func() error { return app.ReplaceFile(dir, "sites/a.yml", []byte("new")) },
	} {
		err := asNobody(do)
		if err == nil {
			t.Fatalf("%s: it was written", name)
		}
		says(t, err.Error(), "may not write into "+filepath.Join(dir, "sites"), "ReadWritePaths=", "by hand")
	}
	if readFile(t, filepath.Join(dir, "sites/a.yml")) != "old" {
		t.Error("it was changed")
	}
	if err := app.Writable(dir, "sites/a.yml"); err != nil {
		t.Errorf("as its owner: %v", err)
	}
}
