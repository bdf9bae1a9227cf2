package demo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What happened in the season stands in its report: each row is a piece of a
// line of a table, and of the page.
func TestTheSeasonReportTellsWhatHappened(t *testing.T) {
	told(t, filepath.Join(whole(t).out, reportDir))
}

func told(t *testing.T, dir string) {
	t.Helper()
	page, err := os.ReadFile(filepath.Join(dir, "season.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		says, file string
		line       []string // parts of one line of the table
		page       string
	}{
		{"a torn bag", "reports.csv", []string{"KOLMI", "bags torn", "T1"}, "torn on T1: 1 selfing bag and 0 control bags"},
		{"it was replaced", "bags.csv", []string{"K-001", "torn"}, "K-001"},
		{"a lead who never answers", "told.csv", []string{"KOLMI", "bag on", "eero", "yes", "answer overdue"}, "Eero Malli"},
		{"a reply by mail, in Finnish, with a photo", "reports.csv", []string{"YLIKUU", "ilta", "bags on", "T1", ",2,1,", "mail"}, "mail"},
		{"the word in it was understood", "reports.csv", []string{"YLIKUU", "ilta", "stage seen", "mail"}, "bud swelling seen"},
		{"a packet whose code was miswritten, with the code that it may mean, and where it went", "unplaced.csv", []string{"U-", "K-007-13C-F", "K-007-31C-F", "lab"}, "K-007-13C-F"},
		{"a tree without catkins", "reports.csv", []string{"YLIKUU", "no catkins", "T4"}, "T4 bears no catkins this year"},
		{"a late frost", "reports.csv", []string{"YLIKUU", "problem", "Late frost in the night to 11 Jun: -0.5 °C"}, "Late frost in the night to 11 Jun"},
		{"a control with filled seed", "isolation.csv", []string{"K-001-C", "46,400,8", "3,380,8", "at most 21 %"}, "at most 21 %"},
	} {
		table, err := os.ReadFile(filepath.Join(dir, row.file))
		if err != nil {
			t.Fatal(err)
		}
		if !anyLine(string(table), row.line) {
			t.Errorf("%s: no line of %s holds %q", row.says, row.file, row.line)
		}
		if !strings.Contains(string(page), row.page) {
			t.Errorf("%s: the page lacks %q", row.says, row.page)
		}
	}
}

func anyLine(table string, parts []string) bool {
	for line := range strings.Lines(table) {
		all := true
		for _, p := range parts {
			all = all && strings.Contains(line, p)
		}
		if all {
			return true
		}
	}
	return false
}
