package sheet

import (
	"fmt"
	"strings"
	"unicode"
)

// Reason is why something of a table is rejected, refused or in conflict.
type Reason string

// Reasons for which a whole table is refused.
const (
	Empty     Reason = "empty"
	NotATable Reason = "kind"      // another kind of file
	Encoding  Reason = "encoding"  // letters that can't be read with certainty
	Separator Reason = "separator" // of the columns
	Quote     Reason = "quote"     // a quotation mark that isn't closed, or stands where none belongs
	Header    Reason = "header"    // no line that names columns
	BadColumn Reason = "column"    // a needed one is missing, or one is there twice
	TooLarge  Reason = "large"
	Damaged   Reason = "damaged"
	WhichOne  Reason = "sheet" // of a workbook
	Control   Reason = "control"
)

// Reasons for which a row is rejected; Control is one, too.
const (
	Missing     Reason = "missing"
	BadCode     Reason = "code"
	Mangled     Reason = "mangled" // a spreadsheet took a code for a number or a day
	BadNumber   Reason = "number"
	OutOfBounds Reason = "bounds"
	BadDay      Reason = "day"
	SerialDay   Reason = "serial" // a spreadsheet's number of a day
	TimeOfDay   Reason = "time"
	BadChoice   Reason = "choice"
	BadText     Reason = "text"
	TooLong     Reason = "long"
	Formula     Reason = "formula"
	Fields      Reason = "fields" // more or fewer cells than columns
	Merged      Reason = "merged"
	ErrorCell   Reason = "error"
	Order       Reason = "order"  // of two days
	Refused     Reason = "config" // by the configuration's own check
)

// Reasons for a conflict.
const (
	Twice       Reason = "twice"       // rows of one thing say different things
	Elsewhere   Reason = "elsewhere"   // a tree that is known at another site
	Taken       Reason = "taken"       // a short name that another tree has
	Near        Reason = "near"        // a code that is another one but for its zeros
	Contradicts Reason = "contradicts" // somebody else's report
	Unknown     Reason = "unknown"     // refers to what isn't there
)

// Reject is a row, or a whole table, that isn't taken, where it stands, and
// what to do about it. It is an error.
type Reject struct {
	File   string `json:"file"`
	Line   int    `json:"line"`   // of the file or the worksheet, from 1; 0 is the file as a whole
	Cell   string `json:"cell"`   // of a worksheet, as new!B5; else empty
	Column string `json:"column"` // by its name here; empty where no single one is meant
	Reason Reason `json:"reason"`
	What   string `json:"what"`
	Cure   string `json:"cure"`
}

// Error gives "file:line: column: what (cure)", with the cell for the line of
// a workbook.
func (r *Reject) Error() string {
	var b strings.Builder
	b.WriteString(r.File)
	switch {
	case r.Cell != "":
		b.WriteString(": " + r.Cell)
	case r.Line > 0:
		fmt.Fprintf(&b, ":%d", r.Line)
	}
	if r.Column != "" {
		b.WriteString(": " + r.Column)
	}
	b.WriteString(": " + r.What)
	if r.Cure != "" {
		b.WriteString(" (" + r.Cure + ")")
	}
	return b.String()
}

// fault is what is wrong with a cell, before anybody knows where it stands.
type fault struct {
	reason     Reason
	what, cure string
}

func wrong(reason Reason, cure, what string, args ...any) *fault {
	return &fault{reason, fmt.Sprintf(what, args...), cure}
}

// clip makes a value fit for a message: one printable line of 40 characters.
func clip(text string) string {
	r := []rune(text[:min(len(text), 400)])
	for i, c := range r {
		if !unicode.IsPrint(c) {
			r[i] = ' '
		}
	}
	if len(r) > 40 {
		return string(r[:39]) + "…"
	}
	return string(r)
}
