// Package sheet is tables in and out: rows of CSV and XLSX to checked values
// with every reject, what applying them would change, and the same way back.
package sheet

import "slices"

// Kind is what the rows of a table are.
type Kind string

// The kinds of table.
const (
	Sites   Kind = "sites"
	People  Kind = "people"
	Trees   Kind = "trees"
	Bags    Kind = "bags"
	Lots    Kind = "lots"
	Reports Kind = "reports"
)

// Kinds gives the kinds of table, in the order in which a programme is set up.
func Kinds() []Kind { return []Kind{People, Sites, Trees, Bags, Lots, Reports} }

// column is one column of a kind: its name, how else people head it, and what
// its cells may hold.
type column struct {
	name    string
	aliases []string // in the form that folded gives: small letters and digits alone
	what    value    // how a cell is read
	needed  bool     // a row without it is rejected, and a table without it refused
}

// form is the columns of a kind, the key's first, in the order of an export.
type form struct {
	columns []column
	key     []string // the columns that tell rows apart
	partial bool     // a table may leave out needed columns that are no key: it then only changes
}

// Columns gives the names of a kind's columns in the order of an export; none
// for what is no kind.
func Columns(k Kind) []string {
	var names []string
	for _, c := range forms[k].columns {
		names = append(names, c.name)
	}
	return names
}

// Key gives the columns that tell the rows of a kind apart.
func Key(k Kind) []string { return slices.Clone(forms[k].key) }
