package cli_test

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/cli"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Every command's help is read as it stands in testdata/help.
func TestHelpReadsAsInTheGoldenFiles(t *testing.T) {
	var list bytes.Buffer
	if got := cli.Run(context.Background(), []string{"help"}, cli.Streams{Out: &list}); got != 0 {
		t.Fatalf("help has status %d", got)
	}
	_, rest, _ := strings.Cut(list.String(), "commands:\n")
	rest, _, _ = strings.Cut(rest, "\n\n")
	lines := strings.Split(strings.TrimRight(rest, "\n"), "\n")
	if len(lines) < 7 {
		t.Fatalf("only %d commands are listed:\n%s", len(lines), &list)
	}
	golden(t, "help", list.Bytes())
	for _, line := range lines {
		name := strings.Fields(line)[0]
		var out, errs bytes.Buffer
		if got := cli.Run(context.Background(), []string{name, "-h"}, cli.Streams{Out: &out, Err: &errs}); got != 0 || errs.Len() > 0 {
			t.Errorf("%s -h has status %d and says %q", name, got, errs.String())
		}
		for _, part := range []string{"usage: budcall " + name, "\noptions:\n", "\nexample:\n  budcall " + name} {
			if !strings.Contains(out.String(), part) {
				t.Errorf("%s -h lacks %q", name, part)
			}
		}
		golden(t, name, out.Bytes())
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "help", name+".txt")
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s reads differently (go test -update writes it anew, then read it):\n%s", path, got)
	}
}
