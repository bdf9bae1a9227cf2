package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
)

// Limits of what is read. A programme of thousands of trees stays far below.
const (
	maxBytes   = 8 << 20
	maxRows    = 20000 // the header included
	maxColumns = 100
)

// separators that a table may have, as messages name them.
var separators = []struct {
	mark rune
	name string
}{{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}}

// SeparatorNamed gives the separator named comma, semicolon or tab.
func SeparatorNamed(name string) (rune, bool) {
	for _, s := range separators {
		if s.name == name {
			return s.mark, true
		}
	}
	return 0, false
}

// readCSV gives the rows of delimited text.
func readCSV(body []byte, o Options) (grid, *Reject) {
	text, skipped, rejected := decoded(body, o)
	if rejected != nil {
		return grid{}, rejected
	}
	said := o.Separator
	if first, rest, ok := strings.Cut(text, "\n"); ok && strings.HasPrefix(strings.ToLower(first), "sep=") {
		if mark := strings.TrimRight(first[4:], "\r"); len(mark) == 1 && strings.ContainsAny(mark, ",;\t") {
			text, skipped = rest, skipped+1
			if said == 0 {
				said = rune(mark[0])
			}
		}
	}
	if trimmed(text) == "" {
		return grid{}, o.refuse(0, Empty, "write a header line and a row for each of the "+string(o.Kind), "the file is empty")
	}
	mark, rejected := separatorOf(text, said, skipped, o)
	if rejected != nil {
		return grid{}, rejected
	}
	return rowsOf(text, mark, skipped, o)
}

// rowsOf parts text into rows; skipped lines stand before it.
func rowsOf(text string, mark rune, skipped int, o Options) (grid, *Reject) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = mark, -1, true
	var g grid
	for {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			return g, nil
		}
		if err != nil {
			return g, o.badQuote(err, skipped)
		}
		at, _ := r.FieldPos(0)
		if len(g.rows) >= maxRows || len(fields) > maxColumns {
			return g, o.refuse(at+skipped, TooLarge, "part it into several files", "the table has more than %d rows or %d columns", maxRows, maxColumns)
		}
		row := raw{line: at + skipped}
		for _, f := range fields {
			row.cells = append(row.cells, cell{text: f})
		}
		g.rows = append(g.rows, row)
	}
}

// badQuote says where a quotation mark is wrong: the line on which the row
// begins, since an open one swallows the rest.
func (o Options) badQuote(err error, skipped int) *Reject {
	var at *csv.ParseError
	line := 0
	if errors.As(err, &at) {
		line = at.StartLine + skipped
	}
	return o.refuse(line, Quote, `close it; within a quoted cell write "" for "`, "a quotation mark is not closed, or stands in the middle of a cell")
}

// separatorOf finds the separator: the one that parts the header into columns
// that are known here. Where no other does, it is proved.
func separatorOf(text string, said rune, skipped int, o Options) (rune, *Reject) {
	if said != 0 {
		return said, nil
	}
	first, line := firstLine(text)
	best, most, second := rune(0), 0, 0
	for _, s := range separators {
		n := 0
		for _, title := range strings.Split(first, string(s.mark)) {
			if _, ok := titled(o.Kind, strings.Trim(trimmed(title), `"`)); ok {
				n++
			}
		}
		if n > most {
			best, most, second = s.mark, n, most
		} else {
			second = max(second, n)
		}
	}
	switch {
	case most > second:
		return best, nil
	case most > 0 && !strings.ContainsAny(first, ",;\t"):
		return ',', nil // one column
	case most == 0 && strings.ContainsAny(first, "|"):
		return 0, o.refuse(line+skipped, Separator, "save it with commas, semicolons or tabs", "the columns seem to be parted by |")
	case most == 0 && isPage(first):
		return 0, o.refuse(line+skipped, NotATable, "open it in a spreadsheet and save it as CSV or XLSX", "this is a web page, whatever its name")
	case most == 0:
		return ',', nil // the header's refusal says more
	}
	return 0, o.refuse(line+skipped, Separator, "say --separator comma, semicolon or tab", "the header doesn't prove what parts the columns")
}

func isPage(start string) bool {
	start = strings.ToLower(start)
	return strings.HasPrefix(start, "<!doctype") || strings.HasPrefix(start, "<html") || strings.HasPrefix(start, "<?xml")
}

// firstLine gives the first line that holds something, and its number.
func firstLine(text string) (string, int) {
	n := 0
	for line := range strings.Lines(text) {
		n++
		if line = trimmed(line); line != "" {
			return line, n
		}
	}
	return "", 1
}

// countLines gives the number of the line on which a byte stands.
func countLines(body []byte, at int) int { return 1 + bytes.Count(body[:at], []byte("\n")) }
