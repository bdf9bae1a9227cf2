package trail_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// kinds reads the closed list out of the source, so that a new kind can't be
// left out here.
func kinds(t *testing.T) (list []trail.Kind) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "report.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		if typ, ok := spec.Type.(*ast.Ident); ok && typ.Name == "Kind" {
			text, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, trail.Kind(text))
		}
		return true
	})
	return list
}

func TestEveryKindIsAReportOrAnAnswer(t *testing.T) {
	answers := map[trail.Kind]bool{
		trail.StageSeen: false, trail.NotYet: false, trail.BagsOn: false, trail.BagsOff: false, trail.Picked: false, trail.NothingToPick: false,
		trail.BagsFine: false, trail.BagsTorn: false, trail.CatkinsSeen: false, trail.NoCatkins: false, trail.LotReceived: false, trail.Problem: false,
		trail.SeedBrown: false, trail.SeedGreen: false, trail.KitArrived: false, trail.Understood: false,
		trail.Going: true, trail.CannotGo: true, trail.Away: true, trail.Unsafe: true, trail.NoPermission: true,
	}
	list := kinds(t)
	if len(list) != len(answers) {
		t.Fatalf("%d kinds stand in the source, %d here", len(list), len(answers))
	}
	for _, k := range list {
		answer, known := answers[k]
		if !known || k.Answer() != answer {
			t.Errorf("%q: answer %v, known %v", k, k.Answer(), known)
		}
	}
}

func TestAReportSurvivesBeingWrittenDown(t *testing.T) {
	for _, r := range []trail.Report{
		{ID: 7, Person: "aino", Site: "KOLMI", Task: "bag on", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1,
			Day: civil.MustParse("2031-05-02"), At: time.Date(2031, 5, 2, 9, 0, 0, 0, time.UTC), Way: "form"},
		{ID: 8, Kind: trail.Going, On: civil.MustParse("2031-05-04"), Day: civil.MustParse("2031-05-02"), At: time.Date(2031, 5, 2, 9, 0, 0, 0, time.UTC)},
	} {
		raw, err := json.Marshal(r)
		var back trail.Report
		if err != nil || json.Unmarshal(raw, &back) != nil || back != r {
			t.Errorf("%s comes back as %+v", raw, back)
		}
	}
}
