package hindcast

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Refusal is a line that isn't used, and why.
type Refusal struct {
	Line   int // 0 where it is of no one line
	Reason string
	of     Observation // as far as it could be read
}

// rows reads a table with a header. Fields are separated by commas, semicolons
// or tabs, whichever the header has most of; with semicolons or tabs a decimal
// comma is understood. A mark of byte order, CRLF, quotes and lines that begin
// with # are understood.
type rows struct {
	csv     *csv.Reader
	header  []string // lower case
	decimal bool     // whether a comma may be a decimal one
}

// longestHeader is how many bytes are looked at for the header line.
const longestHeader = 1 << 16

func newRows(r io.Reader) (*rows, error) {
	b := bufio.NewReaderSize(r, longestHeader)
	if mark, err := b.Peek(3); err == nil && string(mark) == "\ufeff" {
		if _, err := b.Discard(3); err != nil {
			return nil, fmt.Errorf("reading the header: %w", err)
		}
	}
	start, err := b.Peek(longestHeader)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("reading the header: %w", err)
	}
	t := &rows{csv: csv.NewReader(b)}
	t.csv.Comma, t.csv.FieldsPerRecord, t.csv.TrimLeadingSpace, t.csv.Comment = separator(string(start)), -1, true, '#'
	t.decimal = t.csv.Comma != ','
	t.header, err = t.csv.Read()
	if err != nil {
		return nil, fmt.Errorf("line 1: reading the header: %w: give a text file of columns with a header", err)
	}
	for i, f := range t.header {
		t.header[i] = strings.ToLower(strings.TrimSpace(f))
	}
	return t, nil
}

// separator is what the first line that counts is separated by.
func separator(text string) rune {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		best, most := ',', strings.Count(line, ",")
		for _, c := range ";\t" {
			if n := strings.Count(line, string(c)); n > most {
				best, most = c, n
			}
		}
		return best
	}
	return ','
}

// next gives the next line's fields and its number. refused, if not nil, is a
// line that can't be taken apart; err is io.EOF at the end.
func (t *rows) next() (fields []string, line int, refused *Refusal, err error) {
	fields, err = t.csv.Read()
	var broken *csv.ParseError
	switch {
	case errors.As(err, &broken):
		reason := "a quote is not closed, or one inside a quoted field is not written twice: correct it"
		if broken.Line > broken.StartLine {
			reason = fmt.Sprintf("a quote that opens here is not closed by line %d, and nothing in between is read: close it", broken.Line)
		}
		return nil, broken.StartLine, &Refusal{Line: broken.StartLine, Reason: reason}, nil
	case err != nil:
		return nil, 0, nil, err
	}
	line, _ = t.csv.FieldPos(0)
	return fields, line, nil, nil
}

// columns maps our names to the file's columns.
type columns map[string]int

// find gives the columns of a header; of several names for one thing the first
// in the list counts.
func find(header []string, known map[string][]string) columns {
	c := columns{}
	for name, also := range known {
		for _, k := range also {
			if i := index(header, k); i >= 0 {
				c[name] = i
				break
			}
		}
	}
	return c
}

func index(header []string, name string) int {
	for i, h := range header {
		if h == name {
			return i
		}
	}
	return -1
}

func (c columns) has(name string) bool { _, ok := c[name]; return ok }

// get gives a field, empty where there is none.
func (c columns) get(fields []string, name string) string {
	i, ok := c[name]
	if !ok || i >= len(fields) {
		return ""
	}
	return strings.TrimSpace(fields[i])
}

// number reads a number with a decimal point, or comma where that is
// understood.
func (t *rows) number(text string) (float64, error) {
	if t.decimal {
		text = strings.Replace(text, ",", ".", 1)
	}
	return strconv.ParseFloat(text, 64)
}
