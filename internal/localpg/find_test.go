package localpg

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// machine makes a folder of programs for each version, named like a
// distribution's.
func machine(t *testing.T, versions ...string) (group []string) {
	t.Helper()
	root := t.TempDir()
	for _, v := range versions {
		dir := filepath.Join(root, v, "bin")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"initdb", "postgres"} {
			body := "#!/bin/sh\necho '" + name + " (PostgreSQL) " + v + " (Some 1.2-3)'\n"
			if err := os.WriteFile(filepath.Join(dir, name), []byte(body), 0o755); err != nil {
				t.Fatal(err)
			}
		}
		group = append(group, dir)
	}
	return group
}

func TestWhichPostgreSQLIsTaken(t *testing.T) {
	for _, row := range []struct {
		name   string
		groups [][]string // versions on the machine
		want   int        // version of the data folder
		major  int
		says   []string
	}{
		{"the highest number, not the last word of the alphabet", [][]string{{"9.6.24", "15.1", "100.2", "16.0"}}, 0, 100, nil},
		{"the likelier group before a newer version", [][]string{{"15.1"}, {"17.2"}}, 0, 15, nil},
		{"a likelier group that is too old is passed over", [][]string{{"13.4"}, {"14.0"}}, 0, 14, nil},
		{"a test version counts by its major number", [][]string{{"18beta1"}}, 0, 18, nil},
		{"data of version 14 take version 14", [][]string{{"17.2"}, {"15.1", "14.9"}}, 14, 14, nil},
		{"data of a version that isn't here", [][]string{{"15.1"}, {"17.2"}}, 16, 0,
			[]string{"is of PostgreSQL 16", "version 15 in ", "version 17 in ", "postgresql-16", "nothing was changed"}},
		{"only old ones", [][]string{{"12.1"}}, 0, 0, []string{"version 12", "too old", "apt-get install postgresql"}},
		{"none at all", nil, 0, 0, []string{"no PostgreSQL was found", "apt-get install postgresql", "dnf install", "brew install", "BUDCALL_PG_BIN"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			groups := [][]string{{"/nonexistent/bin"}}
			for _, versions := range row.groups {
				groups = append(groups, machine(t, versions...))
			}
			got, err := choose(groups, row.want)
			if got.major != row.major || (err != nil) != (row.says != nil) {
				t.Fatalf("took version %d, %v", got.major, err)
			}
			for _, says := range row.says {
				if !strings.Contains(err.Error(), says) {
					t.Errorf("%q is missing in: %v", says, err)
				}
			}
		})
	}
}

func TestNamedProgramsMustFit(t *testing.T) {
	t.Setenv("BUDCALL_PG_BIN", "")
	named := machine(t, "15.1", "13.2")
	if b, err := findBinaries(named[0], 15); err != nil || b.dir != named[0] {
		t.Errorf("got %v, %v", b, err)
	}
	if _, err := findBinaries(named[0], 14); err == nil || !strings.Contains(err.Error(), "nothing was changed") {
		t.Errorf("got %v", err)
	}
	if _, err := findBinaries(named[1], 0); err == nil || !strings.Contains(err.Error(), "too old") {
		t.Errorf("got %v", err)
	}
	t.Setenv("BUDCALL_PG_BIN", named[0])
	if b, err := findBinaries(named[1], 0); err != nil || b.major != 15 {
		t.Errorf("the environment comes first: %v, %v", b, err)
	}
}

func TestALittleDiskIsSaid(t *testing.T) {
	if got := advice(12); !strings.Contains(got, "only 12 MiB") || !strings.Contains(got, "make space") {
		t.Errorf("got %s", got)
	}
	if got := advice(5000); strings.Contains(got, "only") {
		t.Errorf("got %s", got)
	}
}
