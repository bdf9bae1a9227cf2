package notice_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"budcall/internal/notice"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestEveryLetterReadsAsItsGoldenFiles(t *testing.T) {
	for name, l := range allLetters() {
		t.Run(name, func(t *testing.T) {
			mail, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			golden(t, name+".eml", mail)
			golden(t, name+".html", notice.HTML(l))
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: write it with go test ./internal/notice -update and read it", err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; if it should, write it anew with -update and read it. Got:\n%s", path, got)
	}
}

func TestNoGoldenFileIsLeftOver(t *testing.T) {
	paths, err := filepath.Glob("testdata/*.eml")
	if err != nil {
		t.Fatal(err)
	}
	all := allLetters()
	for _, p := range paths {
		name := filepath.Base(p)
		if _, ok := all[name[:len(name)-len(".eml")]]; !ok {
			t.Errorf("%s belongs to no letter: remove it", p)
		}
	}
}
