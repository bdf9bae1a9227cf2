package cli_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/cli"
	"budcall/internal/trail"
)

// aSeason is an invented season: one tree as it should be, one with a torn bag,
// one without a control, one whose packets are overdue, and a miswritten packet.
func aSeason() trail.Events {
	e := trail.Events{Season: 2031, Today: civil.MustParse("2031-09-20")}
	for i, code := range []string{"K-001", "K-002", "K-004", "K-007"} {
		e.Trees = append(e.Trees, trail.Planted{Site: "KOLMI", Tree: trail.Tree{Code: trail.WithCheck(code), Short: []string{"T1", "T2", "T3", "T4"}[i]}, MinSelfing: 2, MinControl: 1, LotDays: 7})
	}
	at := func(day string) (civil.Date, time.Time) {
		d := civil.MustParse("2031-" + day)
		return d, d.In(time.UTC, 18, 0)
	}
	report := func(day, tree string, kind trail.Kind, selfing, control int) {
		r := trail.Report{ID: int64(len(e.Reports) + 1), Site: "KOLMI", Person: "tuuli", Kind: kind, Tree: tree, Selfing: selfing, Control: control, Way: "mail"}
		r.Day, r.At = at(day)
		if kind == trail.StageSeen {
			r.BBCH = 60
		}
		e.Reports = append(e.Reports, r)
	}
	lot := func(tree string, k trail.BagKind) string {
		return trail.Code{Tree: tree, Season: 2031, Kind: k}.String()
	}
	enter := func(day, subject string, kind trail.EntryKind, d trail.Data) {
		n := trail.Entry{ID: int64(len(e.Entries) + 1), Season: 2031, Kind: kind, Subject: subject, Person: "lumi", Way: "command", Data: d}
		n.Day, n.At = at(day)
		e.Entries = append(e.Entries, n)
	}
	for _, tree := range []string{"T1", "T2", "T3", "T4"} {
		report("05-02", tree, trail.BagsOn, 2, 1)
	}
	report("05-14", "", trail.StageSeen, 0, 0)
	report("05-18", "T2", trail.BagsTorn, 1, 0)
	report("06-08", "", trail.BagsOff, 0, 0)
	report("08-02", "T1", trail.Picked, 2, 1)
	report("08-02", "T2", trail.Picked, 2, 1)
	report("08-02", "T3", trail.Picked, 2, 0)
	report("09-18", "T4", trail.Picked, 2, 0)
	for _, tree := range []string{"K-001", "K-002"} {
		for _, k := range trail.BagKinds {
			enter("08-06", lot(tree, k), trail.LabReceived, trail.Data{Receipt: &trail.Receipt{Written: "as it should be", Kind: k, Packets: 1}})
		}
		enter("08-20", lot(tree, trail.Selfing), trail.LabFilled, trail.Data{Filled: &trail.Filled{Filled: 20, Tested: 400, Catkins: 10}})
	}
	enter("08-20", lot("K-001", trail.Control), trail.LabFilled, trail.Data{Filled: &trail.Filled{Filled: 0, Tested: 310, Catkins: 10}})
	enter("08-20", lot("K-002", trail.Control), trail.LabFilled, trail.Data{Filled: &trail.Filled{Filled: 2, Tested: 290, Catkins: 10}})
	enter("08-21", lot("K-001", trail.Selfing), trail.LabSown, trail.Data{Sown: &trail.Sown{Seeds: []int{100, 100}, CountDays: []int{7, 21}}})
	enter("08-28", lot("K-001", trail.Selfing), trail.LabCounted, trail.Data{Counted: &trail.Counted{Germinated: []int{3, 5}}})
	enter("08-07", "", trail.LabReceived, trail.Data{Receipt: &trail.Receipt{Written: "K-OO4", Packets: 2}})
	return e
}

func TestWhatLotsAndIsolationPrint(t *testing.T) {
	for name, print := range map[string]func(trail.Events) (string, error){"lots": cli.LotTable, "isolation": cli.IsolationTable} {
		got, err := print(aSeason())
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("testdata", "trail", name+".txt")
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil || got != string(want) {
			t.Errorf("%s prints\n%s\nnot as in %s (%v); -update writes it anew", name, got, path, err)
		}
	}
}
