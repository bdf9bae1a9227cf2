package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
)

// logger is the text that a field logger's program exports: one reading a
// row, header or none, titles above it, commas, semicolons or tabs, decimal
// point or comma, seven ways of writing the time (layouts: real exports of
// several makes).
//
// What the file proves is read off it: the separator and the time's column
// from the header, the temperature's column where only one is named so with a
// unit, the decimal mark from the values, the order of the date where only one
// order makes dates of all rows, or makes days that follow one another. The
// rest must be declared: the unit and the fixed offset of the clock where the
// header doesn't say them.
//
// Missing: an empty field and the declared codes. A temperature below -90 °C
// is rejected as a sensor's code (-200 no sensor, -100 damaged). Rows without
// a temperature that tell of an event (host connected, end of file) are
// counted as other records. Day: the declared window; local standard time is
// the usual choice. A moment that stands there twice with two values (a clock
// that followed summer time) is not used.
var logger = Format{
	Name:  "logger",
	Brief: "text of a field logger, one reading a row; header, separator, decimal mark and order of dates as proved or declared",
	Needs: []string{
		"columns: time (or date and time) and temp, and perhaps error and zone, each as the header's name or a number from 1; not where the header proves them",
		"unit: C or F, where the header doesn't state it",
		"clock: the fixed offset of the logger's clock, such as UTC+02:00, where the header doesn't state it",
		"date_layout: where the dates don't prove their order",
		"separator, decimal, missing: where they aren't as the file proves, and empty",
		"window: which hours are a day",
	},
	Finer:    true,
	declares: []string{declaresUnit, declaresLayout},
	parse:    parseLogger,
}

// coldestC is colder than any air: what stands below is a sensor's code.
const coldestC = -90

// loggerRow is a row whose order of date isn't known yet.
type loggerRow struct {
	stamp   stamp
	tempC   float64
	offsetS int32 // of the clock, in seconds
	line    int32
}

type loggerFile struct {
	loggerSheet
	rejects rejectList
	rows    []loggerRow
	events  int
	points  int // temperatures with a decimal mark
	again   headerAgain
	fewest  int // fields that a row has; 0 while none was read
}

func parseLogger(in *input, opt Options) (Batch, error) {
	declared, err := declareLogger(opt)
	if err != nil {
		return Batch{}, err
	}
	l := linesOf(in)
	var start []string
	for len(start) < headerLines && l.next() {
		start = append(start, l.text)
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	g := loggerFile{}
	if g.loggerSheet, err = declared.sheet(start); err != nil {
		return Batch{}, err
	}
	for i, text := range start[g.firstRow:] {
		if err := g.row(g.firstRow+i+1, text, l); err != nil {
			return Batch{}, err
		}
	}
	for !g.again.over && l.next() {
		if err := g.row(l.number, l.text, l); err != nil {
			return Batch{}, err
		}
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	return g.batch(opt)
}

// row reads one line of l; an error is a refusal of the whole file.
func (g *loggerFile) row(number int, text string, l *lines) error {
	if strings.TrimSpace(text) == "" || g.again.over {
		return nil
	}
	fields, ok := splitFields(text, g.sep)
	all, whole := len(fields), ok && (l.endedAt(number) || g.provedWhole(text, fields))
	if !ok && l.endedAt(number) {
		g.rejects.add(number, text, "a quote is left open or stands inside a field")
		return nil
	}
	if n := len(fields); n > 1 && fields[n-1] == "" {
		fields = fields[:n-1] // a separator at the end of the row
	}
	if g.sep == ',' && g.width > 0 && len(fields) > g.width {
		if len(g.rows) == 0 {
			return &Refusal{Line: number, What: fmt.Sprintf("the row has %d fields and the header %d: commas both between columns and in numbers can't be told apart", len(fields), g.width),
				Cure: "export it with semicolons or with decimal points"}
		}
		g.rejects.add(number, text, fmt.Sprintf("has %d fields, the header %d", len(fields), g.width))
		return nil
	}
	switch {
	case !whole:
		g.rejects.add(number, text, insideLine)
	case g.reading(number, text, fields) && (g.fewest == 0 || all < g.fewest):
		g.fewest = all
	}
	return nil
}

// provedWhole reports whether a last row without a line break is whole in what
// is used of it.
func (g *loggerFile) provedWhole(text string, fields []string) bool {
	usual := g.fewest
	if usual == 0 {
		usual = g.width
	}
	return provedWhole(text, fields, slices.Max(g.at[:]), usual)
}

// isHeader takes the header where it comes again, of a line that holds no time.
func (g *loggerFile) isHeader(number int, text string, fields []string) bool {
	same := len(g.header) > 0 && slices.Equal(withoutEmptyEnd(fields), g.header)
	other := g.loggerSheet
	other.at = g.declared.numbers
	if found, _ := other.locate(fields); !same && !found {
		return false
	}
	g.again.meet(number, text, same, &g.rejects)
	return true
}

// reading takes what a row says; false where it was rejected.
func (g *loggerFile) reading(number int, text string, fields []string) bool {
	when, ok := g.when(fields)
	if !ok {
		g.rejects.add(number, text, fmt.Sprintf("has %d fields, the time or the temperature stands after them", len(fields)))
		return false
	}
	s, ok := readStamp(when)
	if !ok && g.isHeader(number, text, fields) {
		return false
	}
	if !ok {
		g.rejects.add(number, text, fmt.Sprintf("%q is no date and time", shorten(when)))
		return false
	}
	value := field(fields, g.at[loggerTemp])
	if value == "" && g.isEvent(fields) {
		g.events++
		return true
	}
	c, reason := g.temperature(value, field(fields, g.at[loggerError]))
	offset, okOffset := g.offset(fields, s)
	switch {
	case reason != "":
		g.rejects.add(number, text, reason)
	case !okOffset:
		g.rejects.add(number, text, fmt.Sprintf("zone %q is no number of quarter hours", shorten(field(fields, g.at[loggerZone]))))
	default:
		g.rows = append(g.rows, loggerRow{stamp: s, tempC: c, offsetS: offset, line: int32(number)})
		return true
	}
	return false
}

// temperature reads a value in °C; NaN is a missing one.
func (g *loggerFile) temperature(text, sensorError string) (c float64, reason string) {
	v, missing, reason := g.declared.value(text)
	switch {
	case missing:
		return math.NaN(), ""
	case reason != "":
		return v, "temperature " + reason
	case v < coldestC && sensorError != "" && sensorError != "0":
		return v, fmt.Sprintf("%g is no temperature: the row states sensor error %s", v, shorten(sensorError))
	case v < coldestC:
		return v, fmt.Sprintf("%g is no temperature but a code of the sensor (-200: none, -100: damaged); declare it in missing", v)
	case g.fahrenheit:
		v = math.Round((v-32)/1.8*1000) / 1000
	}
	if strings.ContainsAny(text, ".,") {
		g.points++
	}
	return v, ""
}

// isEvent reports whether a row without a temperature tells of something: a
// word in a column that is neither the time nor the number of the row.
func (g *loggerFile) isEvent(fields []string) bool {
	for i, f := range fields {
		if i == g.at[loggerDate] || i == g.at[loggerTime] {
			continue
		}
		if strings.ContainsFunc(f, isLetter) {
			return true
		}
	}
	return false
}

func isLetter(r rune) bool { return r|0x20 >= 'a' && r|0x20 <= 'z' || r > 0x7f }

func (g *loggerFile) batch(opt Options) (Batch, error) {
	if len(g.rows) == 0 {
		return Batch{}, g.rejects.nothingRead("compare the declared columns, separator, decimal and date_layout with the file")
	}
	if g.sep == ',' && g.width == 0 && g.points == 0 && opt.Decimal == "" {
		return Batch{}, refuse(`add decimal: "." if they are whole degrees, or export it with semicolons`,
			"no temperature has a decimal point, and without a header a decimal comma can't be told from the separator")
	}
	order, err := g.order()
	if err != nil {
		return Batch{}, err
	}
	var rs readings
	for _, r := range g.rows {
		date, ok := r.stamp.date(order)
		if !ok {
			g.rejects.add(int(r.line), r.stamp.String(), "there is no such day")
			continue
		}
		at := date.Midnight().Add(time.Duration(r.stamp.secondS-r.offsetS) * time.Second)
		rs.add(instant(int(r.line), at, r.tempC))
	}
	b := Batch{Station: opt.Station, OtherRecords: g.events, Place: nowhere(), MissingValues: rs.missing, Notes: g.notes}
	b.Readings = rs.settle(&g.rejects)
	b.Rejects, b.MoreRejects = g.rejects.sorted(), g.rejects.more
	if len(b.Readings) == 0 {
		return Batch{}, g.rejects.nothingRead("look at its times")
	}
	return b, nil
}

// order gives the order of date that the settings declare or the rows prove.
func (g *loggerFile) order() (dateOrder, error) {
	if g.declared.order != 0 {
		return g.declared.order, nil
	}
	var possible, following []dateOrder
	for _, o := range dateOrders {
		if !g.fits(o) {
			continue
		}
		possible = append(possible, o)
		if g.follows(o) {
			following = append(following, o)
		}
	}
	switch {
	case len(possible) == 1:
		return possible[0], nil
	case len(following) == 1:
		return following[0], nil
	}
	example := g.rows[0].stamp
	var may []string
	for _, o := range dateOrders {
		if d, ok := example.date(o); ok {
			may = append(may, fmt.Sprintf("%s as %s", d, o))
		}
	}
	return 0, &Refusal{Line: int(g.rows[0].line), What: fmt.Sprintf("nothing proves the order of the date: %s may be %s", example, strings.Join(may, ", ")),
		Cure: "add date_layout, such as YY.MM.DD, MM.DD.YY or DD.MM.YY"}
}

// fits reports whether an order makes dates of all rows that are dates in any
// order.
func (g *loggerFile) fits(o dateOrder) bool {
	one := false
	for _, r := range g.rows {
		_, ok := r.stamp.date(o)
		one = one || ok
		if !ok && r.stamp.isDate() {
			return false
		}
	}
	return one
}

// follows reports whether the rows' times follow one another in an order: no
// step back of more than a change to winter time, none forward of more than
// a day and two hours, and at least one midnight between them.
func (g *loggerFile) follows(o dateOrder) bool {
	const mostBackS, mostForwardS = 2 * 3600, 26 * 3600
	var before int64
	var dates [2]civil.Date // first and last
	for _, r := range g.rows {
		date, ok := r.stamp.date(o)
		if !ok {
			continue
		}
		at := int64(date)*86400 + int64(r.stamp.secondS)
		if dates[0] == 0 {
			dates[0] = date
		} else if at-before < -mostBackS || at-before > mostForwardS {
			return false
		}
		before, dates[1] = at, date
	}
	return dates[0] != dates[1]
}
