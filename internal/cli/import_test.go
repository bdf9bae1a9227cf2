package cli_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/cli"
	"budcall/internal/config"
)

// folder writes a configuration folder of a few files and reads it.
func folder(t *testing.T) (string, config.Files) {
	t.Helper()
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "sites"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, mode := range map[string]os.FileMode{"programme.yml": 0o644, "people.yml": 0o640, "sites/a.yml": 0o600} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte("old "+name), mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
	}
	files, err := app.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return dir, files
}

// contents gives what is in a folder, hidden files included.
func contents(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		body, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		b.WriteString(rel + " " + info.Mode().String() + " " + string(body) + "\n")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestChangedFilesTakeTheOldOnesPlacesWithTheirRights(t *testing.T) {
	dir, files := folder(t)
	if err := cli.ReplaceFiles(dir, files, config.Files{"people.yml": []byte("new"), "sites/b.yml": []byte("more")}); err != nil {
		t.Fatal(err)
	}
	want := "people.yml -rw-r----- new\nprogramme.yml -rw-r--r-- old programme.yml\nsites/a.yml -rw------- old sites/a.yml\nsites/b.yml -rw-r--r-- more\n"
	if got := contents(t, dir); got != want {
		t.Errorf("the folder holds\n%s\nnot\n%s", got, want)
	}
}

func TestAFileChangedMeanwhileIsNotWrittenOver(t *testing.T) {
	dir, files := folder(t)
	if err := os.WriteFile(filepath.Join(dir, "people.yml"), []byte("by somebody else"), 0o640); err != nil {
		t.Fatal(err)
	}
	before := contents(t, dir)
	err := cli.ReplaceFiles(dir, files, config.Files{"people.yml": []byte("new")})
	if err == nil || !strings.Contains(err.Error(), "changed meanwhile") {
		t.Errorf("the error is %v", err)
	}
	if got := contents(t, dir); got != before {
		t.Errorf("the folder holds\n%s\nnot\n%s", got, before)
	}
}

// A folder stands where the second file is to go: the first is taken back.
func TestWhatWasWrittenIsTakenBackWhereTheRestCannotBe(t *testing.T) {
	dir, files := folder(t)
	before := contents(t, dir)
	if err := os.MkdirAll(filepath.Join(dir, "sites", "b.yml", "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	files2, changed := config.Files{}, config.Files{"people.yml": []byte("new"), "sites/b.yml": []byte("more")}
	for name, body := range files {
		files2[name] = body
	}
	err := cli.ReplaceFiles(dir, files2, changed)
	if err == nil {
		t.Fatal("a folder was written over")
	}
	if got := contents(t, dir); got != before {
		t.Errorf("after %v the folder holds\n%s\nnot\n%s", err, got, before)
	}
}

// A link to a file stays one; what it leads to changes.
func TestALinkStaysALink(t *testing.T) {
	dir, _ := folder(t)
	elsewhere := filepath.Join(t.TempDir(), "people.yml")
	if err := os.Rename(filepath.Join(dir, "people.yml"), elsewhere); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, filepath.Join(dir, "people.yml")); err != nil {
		t.Fatal(err)
	}
	files, err := app.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := cli.ReplaceFiles(dir, files, config.Files{"people.yml": []byte("new")}); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(filepath.Join(dir, "people.yml"))
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is %v (%v)", info, err)
	}
	if body, err := os.ReadFile(elsewhere); err != nil || string(body) != "new" {
		t.Errorf("behind the link is %q (%v)", body, err)
	}
}
