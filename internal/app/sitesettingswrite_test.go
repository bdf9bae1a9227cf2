package app_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/app"
)

// A file is replaced whole, with its mode, also behind a link; nothing is left
// beside it.
func TestAFileOfTheFolderIsReplacedWhole(t *testing.T) {
	dir, away := t.TempDir(), t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "sites"), 0o755); err != nil {
		t.Fatal(err)
	}
	real := filepath.Join(away, "kolmi")
	if err := os.WriteFile(real, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, filepath.Join(dir, "sites/kolmi.yml")); err != nil {
		t.Fatal(err)
	}
	if err := app.ReplaceFile(dir, "sites/kolmi.yml", []byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(real)
	if err != nil || info.Mode().Perm() != 0o640 || readFile(t, real) != "new" {
		t.Errorf("%v, %v: %s", info, err, readFile(t, real))
	}
	if link, err := os.Readlink(filepath.Join(dir, "sites/kolmi.yml")); err != nil || link != real {
		t.Errorf("the link is %s, %v", link, err)
	}
	for _, d := range []string{away, filepath.Join(dir, "sites")} {
		if list, err := os.ReadDir(d); err != nil || len(list) != 1 {
			t.Errorf("left in %s: %v, %v", d, list, err)
		}
	}
	if err := app.ReplaceFile(dir, "sites/gone.yml", nil); err == nil || !strings.Contains(err.Error(), "still there") {
		t.Errorf("a file that is gone: %v", err)
	}
}
