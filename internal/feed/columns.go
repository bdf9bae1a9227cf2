package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"budcall/internal/civil"
)

// columns is a text file whose header names its columns and whose rows are
// the lines after it.
type columns struct {
	lines *lines
	sep   byte
	names []string // of the header, trimmed
	at    map[string]int
	row   []string // fields of the row that next gave, trimmed
	start []string // lines above the header, at most headerLines of them

	wanted []string // names by which the header was found
	again  headerAgain
	titles int // lines with too few fields since the last row
	width  rowWidth
	minded int                    // index of the rightmost column that is used where it is there
	whole  func(last string) bool // whether a row is whole by its last field; nil where that proves nothing
}

// openColumns looks for the header: the first line of at most headerLines in
// which all of the names stand.
func openColumns(in *input, sep byte, names ...string) (*columns, error) {
	c := &columns{lines: linesOf(in), sep: sep, wanted: names}
	for c.lines.next() && c.lines.number <= headerLines {
		if fields, ok := c.headerFields(); ok && c.header(fields) {
			return c, nil
		}
		c.start = append(c.start, c.lines.text)
	}
	return nil, refuse("look whether this is the right format", "none of the first %d lines is a header with %s; the first is %q",
		headerLines, strings.Join(names, ", "), firstText(c.start))
}

// headerFields cuts the line as a header, which may stand behind a #.
func (c *columns) headerFields() (fields []string, ok bool) {
	return splitFields(strings.TrimLeft(c.lines.text, "#"), c.sep)
}

func (c *columns) header(fields []string) bool {
	at := make(map[string]int, len(fields))
	for i, f := range fields {
		if _, twice := at[f]; !twice {
			at[f] = i
		}
	}
	for _, name := range c.wanted {
		if _, there := at[name]; !there {
			return false
		}
	}
	c.names, c.at = fields, at
	return true
}

func (c *columns) has(name string) bool {
	_, there := c.at[name]
	return there
}

// minds names columns that are used where they are there, beside those that
// every row must have.
func (c *columns) minds(names ...string) { c.minded = max(c.minded, c.least(names...)-1) }

// next goes to the next row that isn't blank; what can't be cut into fields,
// has too few of them, or is cut off by the end of the file, is rejected, and
// the header where it comes again is left out.
func (c *columns) next(rejects *rejectList, least int) bool {
	for !c.again.over && c.lines.next() {
		text := c.lines.text
		if strings.TrimSpace(text) == "" && !c.lines.tooLong {
			continue
		}
		fields, ok := splitFields(text, c.sep)
		switch {
		case c.lines.tooLong:
			rejects.add(c.lines.number, text, fmt.Sprintf("the line is longer than %d characters", longestLine))
		case c.isHeader(rejects):
		case !c.lines.ended && (!ok || !c.provedWhole(fields, least)):
			rejects.add(c.lines.number, text, insideLine)
		case !ok:
			rejects.add(c.lines.number, text, "a quote is left open or stands inside a field")
		case len(fields) < least:
			rejects.add(c.lines.number, text, fmt.Sprintf("has %d fields of at least %d", len(fields), least))
			c.titles++
		default:
			c.row, c.titles = fields, 0
			c.width.see(text)
			return true
		}
	}
	return false
}

// provedWhole reports whether the last line, which no line break ends, is
// whole in what is used of it.
func (c *columns) provedWhole(fields []string, least int) bool {
	last := fields[len(fields)-1]
	switch {
	case len(fields) < len(c.names) || c.width.shorter(c.lines.text):
		return false
	case c.whole != nil:
		return c.whole(last)
	}
	return provedWhole(c.lines.text, fields, max(least-1, c.minded), len(c.names))
}

// isHeader takes the header where it comes again; titles above it, which were
// rejected line by line, are told of with it.
func (c *columns) isHeader(rejects *rejectList) bool {
	if !strings.Contains(c.lines.text, c.wanted[0]) {
		return false
	}
	fields, ok := c.headerFields()
	if !ok || !containsAll(fields, c.wanted) {
		return false
	}
	rejects.takeBack(c.titles)
	c.titles = 0
	c.again.meet(c.lines.number, c.lines.text, slices.Equal(fields, c.names), rejects)
	return true
}

func containsAll(fields, wanted []string) bool {
	for _, w := range wanted {
		if !slices.Contains(fields, w) {
			return false
		}
	}
	return true
}

// least gives how many fields a row needs to hold the named columns.
func (c *columns) least(names ...string) int {
	n := 0
	for _, name := range names {
		if i, there := c.at[name]; there {
			n = max(n, i+1)
		}
	}
	return n
}

// field gives a field of the row, empty where the file has no such column or
// the row ends before it.
func (c *columns) field(name string) string {
	i, there := c.at[name]
	if !there || i >= len(c.row) {
		return ""
	}
	return c.row[i]
}

// number reads a field of the row: NaN where it is empty or one of the missing
// codes; ok is false for what is no number.
func (c *columns) number(name string, missing ...float64) (v float64, ok bool) {
	text := c.field(name)
	if text == "" {
		return math.NaN(), true
	}
	v, ok = parseNumber(text, '.')
	if ok && slices.Contains(missing, v) {
		return math.NaN(), true
	}
	return v, ok
}

// optional is number for what isn't a temperature: nonsense is missing.
func (c *columns) optional(name string, missing ...float64) float64 {
	v, ok := c.number(name, missing...)
	if !ok {
		return math.NaN()
	}
	return v
}

// noTemperature is the refusal of a file of something else, named where it is
// known.
func noTemperature(found []string, known map[string]string, wanted string) error {
	var words []string
	for _, name := range found {
		if what, is := known[strings.ToUpper(name)]; is {
			words = append(words, fmt.Sprintf("%s (%s)", shorten(name), what))
		}
	}
	if len(words) == 0 {
		for _, name := range found {
			words = append(words, shorten(name))
		}
	}
	what := "nothing"
	if len(words) > 0 {
		what = shortenTo(200, strings.Join(words, ", "))
	}
	return refuse("use the file that holds "+wanted, "the file holds no temperature but %s", what)
}

// onlyStation tells which station a file of possibly several is read for.
type onlyStation struct {
	wanted string
	met    []string // in order, at most eight
}

// is reports whether a record is of the station, and remembers which there are.
func (s *onlyStation) is(id string) bool {
	if !slices.Contains(s.met, id) && len(s.met) < 8 {
		s.met = append(s.met, strings.Clone(id))
	}
	if s.wanted == "" {
		return s.met[0] == id
	}
	return s.wanted == id
}

// settle gives the station, or refuses a file of which nobody said which.
func (s *onlyStation) settle(read int) (string, error) {
	switch {
	case s.wanted == "" && len(s.met) > 1:
		return "", refuse("name one as station", "the file holds several stations: %s", shortenTo(200, strings.Join(s.met, ", ")))
	case read == 0 && s.wanted != "" && len(s.met) > 0 && !slices.Contains(s.met, s.wanted):
		return "", refuse("correct the station or the file", "no record is of station %s; the file holds %s", s.wanted, shortenTo(200, strings.Join(s.met, ", ")))
	case s.wanted == "" && len(s.met) == 1:
		return s.met[0], nil
	}
	return s.wanted, nil
}

// compactDate reads YYYYMMDD.
func compactDate(text string) (civil.Date, bool) {
	if len(text) != 8 {
		return 0, false
	}
	year, okYear := wholeDigits(text[:4])
	month, okMonth := wholeDigits(text[4:6])
	day, okDay := wholeDigits(text[6:])
	if !okYear || !okMonth || !okDay {
		return 0, false
	}
	return dateOf(year, month, day)
}

// tenths reads a whole number of tenths; a number with a point is none.
func tenths(text string) (float64, bool) {
	if strings.Contains(text, ".") {
		return math.NaN(), false
	}
	v, ok := parseNumber(text, '.')
	return v / 10, ok
}
