package sheet

import (
	"strconv"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// together refuses a row whose cells are right, each by itself, but don't make
// sense together.
func (t *Table) together(r Row) (column string, f *fault) {
	if t.Kind != Reports {
		return "", nil
	}
	kind := trail.Kind(r.Text("kind"))
	for _, c := range needs[kind] {
		if r.Text(c) == "" {
			return c, wrong(Missing, "fill it in", "is empty, but %q needs it", kind)
		}
	}
	if kind == trail.Away && r.Day("until") < r.Day("on") {
		return "until", wrong(Order, "exchange them", "%s is before %s, the first day", r.Day("until"), r.Day("on"))
	}
	return "", nil
}

// needs are the columns that a kind of report can't do without.
var needs = map[trail.Kind][]string{
	trail.StageSeen: {"bbch"}, trail.NotYet: {"bbch"},
	trail.BagsOn: {"tree", "selfing", "control"}, trail.Picked: {"tree", "selfing", "control"},
	trail.CatkinsSeen: {"tree"}, trail.LotReceived: {"tree"},
	trail.Problem: {"note"}, trail.Going: {"on"}, trail.Away: {"on", "until"},
}

// Reports gives the rows of a table of reports as such.
func (t Table) Reports() []trail.Report {
	var out []trail.Report
	for _, r := range t.Rows {
		out = append(out, trail.Report{
			Site: r.Text("site"), Person: r.Text("person"), Task: r.Text("call"), Kind: trail.Kind(r.Text("kind")), Tree: r.Text("tree"),
			BBCH: r.Whole("bbch"), Selfing: r.Whole("selfing"), Control: r.Whole("control"), Count: r.Whole("count"),
			Day: r.Day("day"), On: r.Day("on"), Until: r.Day("until"), Note: r.Text("note"), Way: "table",
		})
	}
	return out
}

// FromReports gives reports as a table, oldest first as they come. When and
// how they reached us is not part of it.
func FromReports(reports []trail.Report) Table {
	t := Table{Kind: Reports, Columns: Columns(Reports), Found: len(reports)}
	for i, r := range reports {
		t.Rows = append(t.Rows, Row{Line: i + 2, Values: map[string]string{
			"site": r.Site, "day": isoOrEmpty(r.Day), "kind": string(r.Kind), "person": r.Person, "tree": r.Tree,
			"bbch": unlessZero(r.BBCH), "selfing": counted(r, r.Selfing), "control": counted(r, r.Control), "count": unlessZero(r.Count),
			"on": isoOrEmpty(r.On), "until": isoOrEmpty(r.Until), "call": canonical(r.Task), "note": canonical(r.Note),
		}})
	}
	return t
}

// InForce gives a table without the rows that a later one of the same key
// corrects, which is how it can be read again without contradicting itself.
func (t Table) InForce() Table {
	last := map[string]int{}
	for i, r := range t.Rows {
		last[t.key(r)] = i
	}
	var rows []Row
	for i, r := range t.Rows {
		if last[t.key(r)] == i {
			rows = append(rows, r)
		}
	}
	t.Rows, t.Found = rows, len(rows)
	return t
}

// counted writes a number of bags or packets; 0 is written where the kind of
// report counts them, since it says something there.
func counted(r trail.Report, n int) string {
	for _, c := range needs[r.Kind] {
		if c == "selfing" {
			return strconv.Itoa(n)
		}
	}
	return unlessZero(n)
}

func unlessZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func isoOrEmpty(d civil.Date) string {
	if d == 0 {
		return ""
	}
	return d.String()
}
