package web

import (
	"slices"
	"testing"

	"budcall/internal/trail"
)

func TestWhatIsKnownIsWhatNoLaterReportReplaced(t *testing.T) {
	on := func(tree string, selfing, control int) trail.Report {
		return trail.Report{Kind: trail.BagsOn, Tree: tree, Selfing: selfing, Control: control}
	}
	going := func(person string, day int) trail.Report {
		return trail.Report{Kind: trail.Going, Person: person, ID: int64(day)}
	}
	torn := trail.Report{Kind: trail.BagsTorn, Tree: "T1", Selfing: 1}
	seen, not := trail.Report{Kind: trail.StageSeen, BBCH: 7}, trail.Report{Kind: trail.NotYet, BBCH: 7}
	for name, c := range map[string]struct{ reports, want []trail.Report }{
		"a later count of the same tree":          {[]trail.Report{on("T1", 2, 0), on("T2", 1, 1), on("T1", 2, 1)}, []trail.Report{on("T1", 2, 0), on("T2", 1, 1)}},
		"a stage seen after it wasn't":            {[]trail.Report{seen, not}, []trail.Report{seen}},
		"another stage is another thing":          {[]trail.Report{seen, {Kind: trail.NotYet, BBCH: 60}}, []trail.Report{seen, {Kind: trail.NotYet, BBCH: 60}}},
		"each person answers for themselves":      {[]trail.Report{going("b", 2), going("a", 1), going("b", 0)}, []trail.Report{going("b", 2), going("a", 1)}},
		"bags that tore one after the other":      {[]trail.Report{torn, torn}, []trail.Report{torn, torn}},
		"packets, after nothing was there at all": {[]trail.Report{{Kind: trail.Picked, Tree: "T1", Selfing: 1}, {Kind: trail.NothingToPick, Tree: "T1"}}, []trail.Report{{Kind: trail.Picked, Tree: "T1", Selfing: 1}}},
	} {
		if got := counting(c.reports); !slices.Equal(got, c.want) {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}
