package sheet

import "budcall/internal/civil"

// cellKind is what a cell holds, as far as its file says.
type cellKind int

const (
	textCell    cellKind = iota
	numberCell           // of a workbook: a number; in CSV everything is text
	dayCell              // of a workbook: a number that is shown as a day
	timeCell             // the same with a time of day
	formulaCell          // of a workbook
	errorCell            // of a workbook: #N/A and the like
)

// cell is one cell as it stands in a file.
type cell struct {
	kind cellKind
	text string     // of a number in its shortest form; of a formula without =; of an error as shown
	day  civil.Date // of dayCell and timeCell
}

// raw is one row as it stands in a file.
type raw struct {
	line   int // from 1
	cells  []cell
	merged bool // it has a part in a merged cell
}

// blank reports whether a row holds nothing at all.
func (r raw) blank() bool {
	for _, c := range r.cells {
		if c.kind != textCell || trimmed(c.text) != "" {
			return false
		}
	}
	return true
}

// grid is the rows of a file before anybody asks what they mean.
type grid struct {
	sheet string // of a workbook
	rows  []raw
	notes []string
}
