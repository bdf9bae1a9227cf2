package sheet_test

import (
	"strings"
	"testing"

	"budcall/internal/sheet"
	"budcall/internal/trail"
)

func TestALotThatIsNotKnownIsInConflict(t *testing.T) {
	lot := trail.Code{Tree: "K-001", Season: 2031, Kind: trail.Selfing}.String()
	now := sheet.FromLots([]*trail.Lot{{Code: lot, Tree: "K-001", Kind: trail.Selfing}})
	slip := lot[:len(lot)-1] + map[bool]string{true: "A", false: "B"}[lot[len(lot)-1] != 'A']
	for _, row := range []struct {
		says, code string
		want       []string // nothing: it is known
	}{
		{"the lot itself", lot, nil},
		{"its check character wrong", slip, []string{"in.csv:2: code: " + slip, "check character doesn't fit", "near is " + lot}},
		{"a lot of another year", trail.Code{Tree: "K-001", Season: 2030, Kind: trail.Selfing}.String(), []string{"no lot known here has the code", "near is " + lot}},
		{"nothing like it", trail.Code{Tree: "MAR-99", Season: 2031, Kind: trail.Control}.String(), []string{"no lot known here has the code", "follows from reports"}},
	} {
		table, err := sheet.Read([]byte("code,tree,kind\n"+row.code+",K-001,selfing\n"), sheet.Options{Kind: sheet.Lots, File: "in.csv"})
		if err != nil {
			t.Fatal(err)
		}
		plan := sheet.Compare(now, table)
		if plan.Clear() != (row.want == nil) || len(plan.Adds) > 0 {
			t.Errorf("%s: %d to add, %d in conflict", row.says, len(plan.Adds), len(plan.Conflicts))
			continue
		}
		for _, want := range row.want {
			if got := plan.Conflicts[0].Error(); !strings.Contains(got, want) {
				t.Errorf("%s: %s, expected %q", row.says, got, want)
			}
		}
	}
}
