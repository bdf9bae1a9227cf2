package sheet

import (
	"bytes"
	"fmt"
	"strings"
)

// Options is what is known of a table beforehand. Whatever the file itself
// can't prove must be said here.
type Options struct {
	Kind      Kind
	File      string // as messages name it
	Separator rune   // ',', ';' or '\t'; 0: found from the header
	Encoding  string // Windows1252; empty: UTF-8, or UTF-16 with its mark
	Decimal   string // "point" or "comma"; empty: found from the numbers
	Sheet     string // of a workbook; empty: the only one that holds anything
}

func (o Options) refuse(line int, reason Reason, cure, what string, args ...any) *Reject {
	return &Reject{File: o.File, Line: line, Reason: reason, What: fmt.Sprintf(what, args...), Cure: cure}
}

// Read reads a table from the bytes of a CSV or XLSX file. A file that can't
// be read as a whole is an error of type *Reject; rows that can't are among
// the table's rejects.
func Read(body []byte, o Options) (Table, error) {
	t := Table{Kind: o.Kind, File: o.File}
	if len(forms[o.Kind].columns) == 0 {
		return t, o.refuse(0, NotATable, "one of sites, people, trees, bags, lots, reports", "%q is no kind of table", clip(string(o.Kind)))
	}
	g, rejected := readGrid(body, o)
	if rejected != nil {
		return t, rejected
	}
	h, rows, notes, rejected := readHeader(g, o)
	if rejected != nil {
		if g.sheet != "" && rejected.Line > 0 {
			rejected.Cell = fmt.Sprintf("%s!%d", g.sheet, rejected.Line)
		}
		return t, rejected
	}
	t.Sheet, t.Notes = g.sheet, append(g.notes, notes...)
	for _, c := range h.columns {
		if c.name != "" {
			t.Columns = append(t.Columns, c.name)
		}
	}
	m := marksOf(h, rows, o)
	for _, row := range rows {
		if !row.blank() {
			t.Found++
			t.take(row, h, m)
		}
	}
	return t, nil
}

func readGrid(body []byte, o Options) (grid, *Reject) {
	switch {
	case len(body) > maxBytes:
		return grid{}, o.refuse(0, TooLarge, "part it into several files", "the file has more than %d MiB", maxBytes>>20)
	case bytes.HasPrefix(body, []byte("PK\x03\x04")), bytes.HasPrefix(body, []byte("PK\x05\x06")):
		return readXLSX(body, o)
	case bytes.HasPrefix(body, []byte("\xd0\xcf\x11\xe0")):
		return grid{}, o.refuse(0, NotATable, "save it as .xlsx without a password", "this is a workbook of the old kind (.xls), or a locked one")
	}
	return readCSV(body, o)
}

// marksOf gives what the numbers of a file prove of its decimal mark.
func marksOf(h heading, rows []raw, o Options) (m marks) {
	if o.Decimal != "" {
		return marks{comma: o.Decimal == "comma", point: o.Decimal == "point"}
	}
	for _, row := range rows {
		for i, c := range row.cells {
			if i < len(h.columns) && numeric[h.columns[i].name] {
				m.proves(c)
			}
		}
	}
	return m
}

// numeric are the columns that hold numbers with a fraction.
var numeric = map[string]bool{"lat_deg": true, "lon_deg": true, "altitude_m": true}

// take reads one row, into the rows or among the rejects.
func (t *Table) take(row raw, h heading, m marks) {
	if rejected := t.shape(row, h); rejected != nil {
		t.Rejects = append(t.Rejects, *rejected)
		return
	}
	out := Row{Line: row.line, Values: map[string]string{}}
	for i, col := range h.columns {
		if col.name == "" {
			continue
		}
		var c cell
		if i < len(row.cells) {
			c = row.cells[i]
		}
		v, f := readCell(c, col, m)
		if f != nil {
			t.reject(row.line, i, col.name, f)
			return
		}
		out.Values[col.name] = v
	}
	if col, f := t.together(out); f != nil {
		t.reject(row.line, -1, col, f)
		return
	}
	t.Rows = append(t.Rows, out)
}

// shape refuses rows whose cells may belong to other columns than they seem to.
func (t *Table) shape(row raw, h heading) *Reject {
	n := len(row.cells)
	for n > len(h.columns) && row.cells[n-1].kind == textCell && trimmed(row.cells[n-1].text) == "" {
		n--
	}
	switch {
	case row.merged:
		return t.rejected(row.line, -1, "", wrong(Merged, "part the merged cells and fill in each", "the row is part of a merged cell"))
	case n > len(h.columns), n < len(h.columns) && t.Sheet == "":
		return t.rejected(row.line, -1, "", wrong(Fields, "is a separator, a quotation mark or a part of the file missing?", "the row has %d cells, the header %d", n, len(h.columns)))
	}
	return nil
}

// readCell reads one cell of a column.
func readCell(c cell, col column, m marks) (string, *fault) {
	switch {
	case c.kind == formulaCell:
		return "", wrong(Formula, "write the value itself (copy, then paste values only)", "holds a formula, =%s", clip(c.text))
	case c.kind == errorCell:
		return "", wrong(ErrorCell, "write the value", "holds the error %s", clip(c.text))
	case c.kind == textCell && trimmed(c.text) == "" && col.needed:
		return "", wrong(Missing, "fill it in", "is empty")
	case c.kind == textCell && trimmed(c.text) == "":
		return "", nil
	}
	if strings.HasPrefix(c.text, "\t") || strings.HasPrefix(c.text, "\r") {
		if starts, ok := formulaStart(strings.TrimLeft(c.text, "\t\r ")); ok {
			return "", wrong(Formula, "write the value", "begins with %q, which a spreadsheet takes for a formula", starts)
		}
	}
	v, f := col.what(c, m)
	if f == nil && v == "" && col.needed {
		return "", wrong(Missing, "fill it in", "is empty")
	}
	return v, f
}

func (t *Table) reject(line, at int, column string, f *fault) {
	t.Rejects = append(t.Rejects, *t.rejected(line, at, column, f))
}

func (t *Table) rejected(line, at int, column string, f *fault) *Reject {
	r := &Reject{File: t.File, Line: line, Column: column, Reason: f.reason, What: f.what, Cure: f.cure}
	if t.Sheet != "" {
		r.Cell = fmt.Sprintf("%s!%s%d", t.Sheet, letters(at), line)
	}
	return r
}

// letters gives the name of a worksheet's column, counted from 0; nothing for
// a row as a whole.
func letters(at int) string {
	name := ""
	for at++; at > 0; at = (at - 1) / 26 {
		name = string(rune('A'+(at-1)%26)) + name
	}
	return name
}
