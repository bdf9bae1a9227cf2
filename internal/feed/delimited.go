package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"budcall/internal/weather"
)

// delimited is a text file with one day a row, whose columns and units are
// declared in the settings or stated by its own header.
var delimited = Format{
	Name:  "delimited",
	Brief: "text with one day a row; columns, unit, separator, decimal mark and order of dates as declared",
	Needs: []string{
		"columns: date, and tmean or tmin with tmax, each as the header's name or a number from 1; not for a header date,tmin_c,tmax_c,tmean_c",
		"unit: C or F, where the header doesn't state it (°C, °F, _c, _f)",
		"separator, decimal, date_layout, missing: where they are not comma or semicolon, point, YYYY-MM-DD and empty",
		"window: the hours that a day covers, where they are known",
	},
	declares: []string{declaresUnit, declaresLayout},
	parse:    parseDelimited,
}

// The columns, in the order of weather.Day after the date.
const (
	dateColumn = iota
	minColumn
	maxColumn
	meanColumn
	columnCount
)

var columnNames = [columnCount]string{"date", "tmin", "tmax", "tmean"}

// absent is the index of a column that the file doesn't have.
const absent = -1

// sheet is a delimited file whose header is understood.
type sheet struct {
	declared   declaration
	sep        byte
	columns    [columnCount]int // index from 0, or absent
	fahrenheit [columnCount]bool
	firstRow   int // index of the line after the header

	header []string // its fields; nil where there is none
	again  headerAgain
	fewest int // fields that a row or the header has; 0 while none was met
}

func parseDelimited(in *input, opt Options) (Batch, error) {
	declared, err := declare(opt)
	if err != nil {
		return Batch{}, err
	}
	l := linesOf(in)
	var start []string
	for len(start) < headerLines && l.next() {
		start = append(start, l.text)
	}
	var c collector
	s, err := declared.findHeader(start, &c.rejects)
	if l.err != nil {
		return Batch{}, l.err
	}
	if err != nil {
		return Batch{}, err
	}
	for i, text := range start[s.firstRow:] {
		s.take(s.firstRow+i+1, text, l, &c)
	}
	for !s.again.over && l.next() {
		s.take(l.number, l.text, l, &c)
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	if len(c.days) == 0 {
		return Batch{}, c.rejects.nothingRead("compare the declared columns, separator, decimal and date_layout with the file; a file with several readings a day is of format logger")
	}
	b := c.batch(opt)
	b.MeanOf = meanOf(b.Days, MeanStated)
	return b, nil
}

// take reads one line of l into the collector.
func (s *sheet) take(number int, line string, l *lines, c *collector) {
	if strings.TrimSpace(line) == "" || s.again.over {
		return
	}
	fields, ok := splitFields(line, s.sep)
	var d weather.Day
	missing, reason := 0, "a quote is left open or stands inside a field"
	if ok {
		d, missing, reason = s.row(fields)
	}
	switch {
	case reason != "" && s.isHeader(number, line, fields, &c.rejects):
		return
	case !l.endedAt(number) && (!ok || !s.provedWhole(line, fields)):
		reason = insideLine
	}
	if reason != "" {
		c.rejects.add(number, line, reason)
		return
	}
	if s.fewest == 0 || len(fields) < s.fewest {
		s.fewest = len(fields)
	}
	c.missing += missing
	c.day(number, line, d)
}

// provedWhole reports whether a last row without a line break is whole in what
// is used of it. A date has as many characters as its layout.
func (s *sheet) provedWhole(line string, fields []string) bool {
	used := slices.Max(s.columns[:])
	if used == s.columns[dateColumn] && used == len(fields)-1 && len(fields) >= s.fewest {
		_, ok := parseDate(s.declared.layout, fields[used])
		return ok
	}
	return provedWhole(line, fields, used, s.fewest)
}

// isHeader takes the header where it comes again.
func (s *sheet) isHeader(number int, line string, fields []string, rejects *rejectList) bool {
	same := s.header != nil && slices.EqualFunc(fields, s.header, strings.EqualFold)
	other := *s
	if found, _ := other.declared.locate(fields, &other); !same && (!found || s.declared.byNumbers()) {
		return false
	}
	s.again.meet(number, line, same, rejects)
	return true
}

// row reads the fields of one line; reason is empty when it was understood.
func (s *sheet) row(fields []string) (d weather.Day, missing int, reason string) {
	for column, index := range s.columns {
		if index >= len(fields) {
			return d, 0, fmt.Sprintf("has %d fields, %s is number %d", len(fields), columnNames[column], index+1)
		}
	}
	text := fields[s.columns[dateColumn]]
	date, ok := parseDate(s.declared.layout, text)
	if !ok {
		return d, 0, fmt.Sprintf("%q is no date %s", shorten(text), s.declared.layoutName)
	}
	d = weather.Missing(date)
	for column, into := range [columnCount]*float64{minColumn: &d.MinC, maxColumn: &d.MaxC, meanColumn: &d.MeanC} {
		if into == nil || s.columns[column] == absent {
			continue
		}
		value, isMissing, ok := s.declared.number(fields[s.columns[column]])
		switch {
		case !ok:
			return d, 0, s.declared.notNumber(columnNames[column], fields[s.columns[column]])
		case isMissing:
			missing++
		case s.fahrenheit[column]:
			*into = celsius(value)
		default:
			*into = value
		}
	}
	return d, missing, ""
}

// number reads a temperature field: a value, or one that means no reading.
func (d declaration) number(text string) (value float64, missing, ok bool) {
	value, ok = parseNumber(text, d.decimal)
	if text == "" {
		return math.NaN(), true, true
	}
	for _, m := range d.missing {
		if text == m.text || ok && value == m.value {
			return math.NaN(), true, true
		}
	}
	return value, false, ok
}

// notNumber says why a field is no temperature, with a hint where the cause
// is plain.
func (d declaration) notNumber(column, text string) string {
	other, otherName := byte(','), "comma"
	if d.decimal == ',' {
		other, otherName = '.', "point"
	}
	if _, ok := parseNumber(text, other); ok {
		return fmt.Sprintf("%s %q is written with a decimal %s, which isn't declared as decimal", column, shorten(text), otherName)
	}
	return fmt.Sprintf("%s %q is no number (declare it in missing if it means no reading)", column, shorten(text))
}
