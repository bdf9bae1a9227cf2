package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// Plan is what applying a table would do. Nothing is applied while there are
// conflicts or rejects: all of a table or nothing.
type Plan struct {
	Kind      Kind     `json:"kind"`
	File      string   `json:"file"`
	Adds      []Row    `json:"adds"`
	Changes   []Change `json:"changes"`
	Conflicts []Reject `json:"conflicts"`
	Rejects   []Reject `json:"rejects"`
	Unchanged int      `json:"unchanged"` // rows that say what is known
	Repeated  int      `json:"repeated"`  // rows that say what another row says
	Left      int      `json:"left"`      // things known that the table doesn't name: left as they are
	Notes     []string `json:"notes"`

	table Table
}

// Change is a thing whose columns change.
type Change struct {
	Row   Row    `json:"-"`
	Line  int    `json:"line"`
	Key   string `json:"key"`
	Cells []Cell `json:"cells"`
}

// Cell is one column of a change.
type Cell struct {
	Column string `json:"column"`
	Old    string `json:"old"`
	New    string `json:"new"`
}

// Clear reports whether a plan can be applied.
func (p Plan) Clear() bool { return len(p.Conflicts) == 0 && len(p.Rejects) == 0 }

// Empty reports whether applying a plan would change nothing.
func (p Plan) Empty() bool { return len(p.Adds) == 0 && len(p.Changes) == 0 }

// Compare says what a table adds to what is known now, and what it changes.
// Columns that the table doesn't have, and things that it doesn't name, stay
// as they are; an empty cell takes a value away.
func Compare(now, table Table) Plan {
	p := Plan{Kind: table.Kind, File: table.File, Rejects: table.Rejects, Notes: table.Notes, table: table}
	known := map[string]Row{}
	for _, r := range now.Rows {
		known[now.key(r)] = r // of reports, the later one holds
	}
	p.Left = len(known)
	for _, r := range p.once(table) {
		key := table.key(r)
		old, ok := known[key]
		if ok {
			p.Left--
		}
		cells := differing(table, old, r)
		switch {
		case !ok && p.cannotAdd(r):
		case !ok:
			p.Adds = append(p.Adds, r)
		case len(cells) == 0:
			p.Unchanged++
		default:
			p.Changes = append(p.Changes, Change{Row: r, Line: r.Line, Key: readable(key), Cells: cells})
		}
	}
	switch table.Kind {
	case Bags, Lots:
		p.checkKnown(now)
	case Trees:
		p.checkTrees(now)
	case Reports:
		p.checkReports(now)
	}
	slices.SortStableFunc(p.Conflicts, func(a, b Reject) int { return a.Line - b.Line })
	return p
}

// once gives the rows of a table, each thing once; rows that say different
// things of one are in conflict, and none of them is given.
func (p *Plan) once(table Table) []Row {
	first := map[string]Row{}
	torn := map[string]bool{}
	for _, r := range table.Rows {
		key := table.key(r)
		before, again := first[key]
		switch cells := differing(table, before, r); {
		case !again:
			first[key] = r
		case len(cells) == 0:
			p.Repeated++
		default:
			torn[key] = true
			p.conflict(r, cells[0].Column, Twice, "keep the row that holds", "is %q here and %q in row %d, of the same %s",
				clip(cells[0].New), clip(cells[0].Old), before.Line, strings.Join(Key(table.Kind), ", "))
		}
	}
	var out []Row
	for _, r := range table.Rows {
		key := table.key(r)
		if first[key].Line == r.Line && !torn[key] {
			out = append(out, r)
		}
	}
	return out
}

// differing gives the columns of a table in which two rows differ.
func differing(table Table, old, new Row) []Cell {
	var cells []Cell
	for _, c := range table.Columns {
		a, b := old.Values[c], new.Values[c]
		if table.Kind == Reports && c == "call" && b == "" { // the one that the kind belongs to
			continue
		}
		if a != b {
			cells = append(cells, Cell{c, a, b})
		}
	}
	return cells
}

// cannotAdd reports a new thing that the table doesn't say enough of.
func (p *Plan) cannotAdd(r Row) bool {
	var missing []string
	for _, c := range forms[p.Kind].columns {
		if c.needed && !p.table.has(c.name) {
			missing = append(missing, c.name)
		}
	}
	if len(missing) == 0 {
		return false
	}
	p.conflict(r, "code", Unknown, "correct the code; to add it, the table needs the columns "+strings.Join(missing, ", "), "%s is known by no one of the %s", r.Text("code"), p.Kind)
	return true
}

func (p *Plan) conflict(r Row, column string, reason Reason, cure, what string, args ...any) {
	at := slices.Index(p.table.Columns, column)
	c := p.table.rejected(r.Line, at, column, wrong(reason, cure, what, args...))
	if p.table.Sheet != "" {
		c.Cell = fmt.Sprintf("%s!%d", p.table.Sheet, r.Line)
	}
	p.Conflicts = append(p.Conflicts, *c)
}

// readable writes a key for people.
func readable(key string) string {
	return strings.Join(strings.FieldsFunc(key, func(r rune) bool { return r == '\x1f' }), " ")
}

// Drop takes a row that was rejected after all out of a plan.
func (p *Plan) Drop(r Row) {
	p.Adds = slices.DeleteFunc(p.Adds, func(a Row) bool { return a.Line == r.Line })
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool { return c.Line == r.Line })
}
