package feed

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// The columns of a logger's text.
const (
	loggerDate = iota // of the date, or of date and time in one
	loggerTime        // of the time, where it stands apart
	loggerTemp
	loggerError
	loggerZone
	loggerColumns
)

var loggerNames = [loggerColumns]string{"date", "time", "temp", "error", "zone"}

// loggerDeclaration is what the settings say of a logger's text, checked.
type loggerDeclaration struct {
	names      [loggerColumns]string
	numbers    [loggerColumns]int // index from 0, or absent
	unit       string
	separators []byte
	decimal    byte // 0 until the values prove it
	missing    []missingValue
	order      dateOrder
	clock      string
}

// loggerSheet is a logger's text whose columns are understood.
type loggerSheet struct {
	declared   *loggerDeclaration
	sep        byte
	at         [loggerColumns]int // index from 0, or absent
	width      int                // columns of the header; 0 without one
	fahrenheit bool
	offsetS    int32
	firstRow   int // index of the first line after the header
	notes      []string
	header     []string // its fields, without empty ones at the end; none where there is none
}

func declareLogger(opt Options) (*loggerDeclaration, error) {
	var shared declaration
	if err := shared.declareMarks(opt); err != nil {
		return nil, err
	}
	d := &loggerDeclaration{unit: opt.Unit, separators: shared.separators, clock: opt.Clock}
	if opt.Decimal != "" {
		d.decimal = shared.decimal
	}
	if d.unit != "" && d.unit != "C" && d.unit != "F" {
		return nil, refuse("write C or F", "unit %q is none", d.unit)
	}
	if opt.DateLayout != "" {
		if d.order = orderOf(opt.DateLayout); d.order == 0 {
			return nil, refuse("write one of "+strings.Join(DateLayouts(), ", "), "date_layout %q is none", opt.DateLayout)
		}
	}
	if _, ok := FixedOffset(d.clock); d.clock != "" && !ok {
		return nil, refuse("write UTC, or a fixed offset such as UTC+02:00; a clock that follows summer time repeats an hour in autumn", "clock %q is no fixed offset", d.clock)
	}
	for _, m := range opt.Missing {
		value, _ := parseNumber(strings.Replace(m, ",", ".", 1), '.') // NaN for a word
		d.missing = append(d.missing, missingValue{text: m, value: value})
	}
	return d, d.declareColumns(opt.Columns)
}

// orderOf gives the order of a declared layout.
func orderOf(layout string) dateOrder {
	if _, known := goLayout(layout); !known {
		return 0
	}
	switch layout[0] {
	case 'Y':
		return yearMonthDay
	case 'M':
		return monthDayYear
	}
	return dayMonthYear
}

func (d *loggerDeclaration) declareColumns(columns map[string]string) error {
	for c := range d.numbers {
		d.numbers[c] = absent
	}
	given := 0
	for c, name := range loggerNames {
		text := strings.TrimSpace(columns[name])
		if text == "" {
			continue
		}
		given++
		number, err := strconv.Atoi(text)
		switch {
		case err != nil:
			d.names[c] = text
		case number < 1 || number > 10_000:
			return refuse("count the columns from 1", "columns.%s is %d", name, number)
		default:
			d.numbers[c] = number - 1
		}
	}
	if given < len(columns) {
		return refuse("write time (or date and time), temp, error or zone, each with its column", "the columns hold a name that is none of a logger's, or an empty one")
	}
	if !d.has(loggerDate) && d.has(loggerTime) { // "time" alone is date and time in one
		d.names[loggerDate], d.numbers[loggerDate] = d.names[loggerTime], d.numbers[loggerTime]
		d.names[loggerTime], d.numbers[loggerTime] = "", absent
	}
	return nil
}

func (d *loggerDeclaration) has(column int) bool {
	return d.names[column] != "" || d.numbers[column] != absent
}

// value reads a temperature as it stands; the first decimal mark met is the
// file's, where none is declared.
func (d *loggerDeclaration) value(text string) (v float64, missing bool, reason string) {
	if text == "" {
		return math.NaN(), true, ""
	}
	mark := d.decimal
	if mark == 0 {
		mark = '.'
		if strings.Contains(text, ",") {
			mark = ','
		}
	}
	v, ok := parseNumber(text, mark)
	for _, m := range d.missing {
		if text == m.text || ok && v == m.value {
			return math.NaN(), true, ""
		}
	}
	switch {
	case !ok && d.decimal != 0 && strings.ContainsAny(text, ".,"):
		return v, false, fmt.Sprintf("%q is no number with the decimal mark %q, which the file is written with", shorten(text), d.decimal)
	case !ok:
		return v, false, fmt.Sprintf("%q is no number (declare it in missing if it means no reading)", shorten(text))
	}
	if d.decimal == 0 && strings.ContainsRune(text, rune(mark)) {
		d.decimal = mark
	}
	return v, false, ""
}

// when gives the text of the time; false where the row ends before it or
// before the temperature.
func (s *loggerSheet) when(fields []string) (string, bool) {
	if s.at[loggerDate] >= len(fields) {
		return "", false
	}
	when := fields[s.at[loggerDate]]
	if i := s.at[loggerTime]; i != absent {
		when += " " + field(fields, i)
	}
	return when, s.at[loggerTemp] < len(fields) || s.width > 0 && len(fields) > s.at[loggerDate]+1
}

// field gives a field of a row, empty where there is none.
func field(fields []string, i int) string {
	if i < 0 || i >= len(fields) {
		return ""
	}
	return fields[i]
}

// offset gives how far the clock of a row is ahead of UTC, in seconds.
func (s *loggerSheet) offset(fields []string, at stamp) (int32, bool) {
	if at.hasZone {
		return at.offsetS, true
	}
	if i := s.at[loggerZone]; i != absent {
		quarters, err := strconv.Atoi(field(fields, i))
		return int32(quarters) * 900, err == nil && quarters >= -56 && quarters <= 56
	}
	return s.offsetS, true
}

var headerOffset = regexp.MustCompile(`(?i)\b((?:GMT|UTC)(?:[+-][0-9]{1,2}(?::?[0-9]{2})?)?)`)

// settleClock finds the offset of the clock: declared, in a column of its own,
// in the stamps, or in the header of the time.
func (s *loggerSheet) settleClock(header []string, firstStamp stamp) error {
	stated := ""
	for _, c := range []int{loggerDate, loggerTime} {
		if m := headerOffset.FindString(field(header, s.at[c])); m != "" {
			stated = strings.ToUpper(m)
		}
	}
	clock := s.declared.clock
	switch {
	case firstStamp.hasZone || s.at[loggerZone] != absent:
		return nil
	case clock == "" && stated == "":
		return refuse("add the fixed offset of the logger's clock: UTC, or UTC+02:00", "nothing says what clock the times are of")
	case clock == "":
		clock = stated
	}
	zone, ok := FixedOffset(clock)
	if !ok {
		return refuse("add the fixed offset of the logger's clock: UTC, or UTC+02:00", "the header's clock %q isn't understood", shorten(clock))
	}
	said, differs := FixedOffset(stated)
	if differs && said.String() != zone.String() {
		s.notes = append(s.notes, fmt.Sprintf("the header says %s, and the declared clock %s is used", stated, clock))
	}
	s.offsetS = offsetOf(zone)
	return nil
}
