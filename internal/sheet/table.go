package sheet

import (
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// Table is the rows of a table that were understood, and those that weren't.
type Table struct {
	Kind    Kind
	File    string
	Sheet   string   // of a workbook
	Columns []string // those that the file has, by their names here, in the file's order
	Rows    []Row    // in the file's order
	Rejects []Reject
	Notes   []string // what was seen and left alone, such as columns that nobody knows
	Found   int      // rows there were, rejected ones included
}

// Row is one row that was understood. Its values are in the one form that
// this package writes: days YYYY-MM-DD, numbers with a decimal point and no
// zeros at the end, lists parted by blanks, flags "yes" or nothing. A column
// that the file doesn't have has no value; one whose cell is empty has "".
type Row struct {
	Line   int
	Values map[string]string
}

// Text gives a value as it is written.
func (r Row) Text(column string) string { return r.Values[column] }

// Day gives a day, and no date where the cell is empty.
func (r Row) Day(column string) civil.Date {
	d, err := civil.Parse(r.Values[column])
	if err != nil {
		return 0
	}
	return d
}

// Number gives a number, and false where the cell is empty.
func (r Row) Number(column string) (float64, bool) {
	v, err := strconv.ParseFloat(r.Values[column], 64)
	return v, err == nil
}

// Whole gives a number without a fraction, 0 where the cell is empty.
func (r Row) Whole(column string) int {
	v, _ := r.Number(column)
	return int(v)
}

// Flag reports whether a flag is set.
func (r Row) Flag(column string) bool { return r.Values[column] == yes }

// List gives the items of a list.
func (r Row) List(column string) []string { return strings.Fields(r.Values[column]) }

// key gives what tells a row from others of its kind.
func (t Table) key(r Row) string {
	var parts []string
	for _, c := range forms[t.Kind].key {
		parts = append(parts, r.Values[c])
	}
	return strings.Join(parts, "\x1f")
}

// has reports whether the file has a column.
func (t Table) has(column string) bool {
	for _, c := range t.Columns {
		if c == column {
			return true
		}
	}
	return false
}
