package sheet

import (
	"strings"

	"budcall/internal/trail"
)

// FromBags gives the bags of a trail as a table, tree by tree.
func FromBags(trees []*trail.TreeTrail) Table {
	t := Table{Kind: Bags, Columns: Columns(Bags)}
	for _, tree := range trees {
		for _, b := range tree.Bags {
			t.Rows = append(t.Rows, Row{Line: len(t.Rows) + 2, Values: map[string]string{
				"code": b.Code, "site": tree.Site, "tree": tree.Code, "kind": string(b.Kind), "state": string(b.State),
				"on": isoOrEmpty(b.PutOn), "doubtful_since": isoOrEmpty(b.DoubtfulSince), "doubt": canonical(string(b.Doubt)), "off": isoOrEmpty(b.TakenOff),
			}})
		}
	}
	t.Found = len(t.Rows)
	return t
}

// FromLots gives the lots of a trail as a table.
func FromLots(lots []*trail.Lot) Table {
	t := Table{Kind: Lots, Columns: Columns(Lots), Found: len(lots)}
	for i, l := range lots {
		t.Rows = append(t.Rows, Row{Line: i + 2, Values: map[string]string{
			"code": l.Code, "site": l.Site, "tree": l.Tree, "kind": string(l.Kind), "state": string(l.State), "bags": strings.Join(l.Bags, " "),
			"packets": unlessZero(l.Packets), "picked": isoOrEmpty(l.Picked), "expected": isoOrEmpty(l.Expected),
			"came": unlessZero(l.Came), "received": isoOrEmpty(l.Received), "condition": canonical(strings.Join(l.Condition, "; ")),
		}})
	}
	return t
}
