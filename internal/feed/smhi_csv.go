package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
)

// smhiRows is SMHI's CSV while it is read.
type smhiRows struct {
	smhiValues
	smhiFile
	lines  *lines
	block  string // the first word of the block's header
	head   []string
	latest string     // end of the newest position
	values []smhiCell // columns of the data
	daily  bool

	dataHead []string // the header of the data
	again    headerAgain
}

// smhiCell is where a value and its quality stand.
type smhiCell struct {
	series         smhiSeries
	value, quality int
}

func parseSMHICSV(in *input, opt Options) (Batch, error) {
	g := smhiRows{lines: linesOf(in), smhiFile: smhiFile{place: nowhere()}}
	for g.lines.next() {
		if err := g.line(); err != nil {
			return Batch{}, atLine(err, g.lines.number)
		}
	}
	if g.lines.err != nil {
		return Batch{}, g.lines.err
	}
	if g.values == nil {
		return Batch{}, refuse("use the file data.csv of one parameter and station", "no line begins with \"Från Datum\" or \"Datum;Tid\": this is no SMHI data, or it is cut off")
	}
	return g.smhiValues.batch(g.smhiFile, opt)
}

func (g *smhiRows) line() error {
	text := g.lines.text
	if strings.Trim(text, "; \t") == "" && !g.lines.tooLong {
		if g.values == nil {
			g.block = ""
		}
		return nil
	}
	if g.lines.tooLong {
		g.rejects.add(g.lines.number, text, fmt.Sprintf("the line is longer than %d characters", longestLine))
		return nil
	}
	fields := strings.Split(text, ";")
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	switch first := fields[0]; {
	case g.values != nil && first == "Stationsnamn":
		return refuse("read the files one by one", "a second file of SMHI begins here")
	case g.values != nil && slices.Contains(fields, "Kvalitet") && (first == "Datum" || strings.HasPrefix(first, "Från Datum")):
		g.again.meet(g.lines.number, text, slices.Equal(fields, g.dataHead), &g.rejects)
	case g.again.over:
	case g.values != nil:
		g.row(fields)
	case first == "Stationsnamn", first == "Parameternamn", strings.HasPrefix(first, "Tidsperiod"):
		g.block, g.head = first, fields
	case strings.HasPrefix(first, "Från Datum"), first == "Datum":
		return g.header(fields)
	case g.block == "Stationsnamn":
		if i := indexOfAny(g.head, "Stationsnummer", "Klimatnummer"); i >= 0 && i < len(fields) {
			g.station = strings.Clone(fields[i])
		}
	case g.block == "Parameternamn" && len(fields) >= 3:
		s, err := smhiParameter(fields[0], fields[1], fields[2])
		if err != nil {
			return err
		}
		g.series = append(g.series, s)
	case strings.HasPrefix(g.block, "Tidsperiod") && len(fields) >= 5:
		g.position(fields)
	}
	return nil
}

// position keeps the newest one; they aren't in order of time.
func (g *smhiRows) position(fields []string) {
	if fields[1] <= g.latest {
		return
	}
	var p Place
	var ok [3]bool
	p.AltitudeM, ok[0] = parseNumber(fields[2], '.')
	p.LatitudeDeg, ok[1] = parseNumber(fields[3], '.')
	p.LongitudeDeg, ok[2] = parseNumber(fields[4], '.')
	if ok[0] && ok[1] && ok[2] {
		g.place, g.latest = p, strings.Clone(fields[1])
	}
}

// header finds the columns of values: each is followed by its quality, and
// they stand in the order of the parameters.
func (g *smhiRows) header(fields []string) error {
	if err := g.check(); err != nil {
		return err
	}
	g.daily, g.dataHead = fields[0] != "Datum", fields
	for i := 1; i < len(fields); i++ {
		if fields[i] != "Kvalitet" {
			continue
		}
		if n := len(g.values); n < len(g.series) {
			g.values = append(g.values, smhiCell{series: g.series[n], value: i - 1, quality: i})
		}
	}
	if len(g.values) != len(g.series) {
		return refuse("fetch it again, or tell the source", "%d parameters are announced and the data have %d columns with a quality", len(g.series), len(g.values))
	}
	for _, v := range g.values {
		if !v.series.wind && v.series.daily != g.daily {
			return refuse("tell the source", "the parameter's description and the data's header disagree on whether the values are daily")
		}
	}
	return nil
}

// row takes one line of data. A line that begins with empty fields holds only
// notes.
func (g *smhiRows) row(fields []string) {
	line, text := g.lines.number, g.lines.text
	if fields[0] == "" {
		return
	}
	last := g.values[len(g.values)-1].quality
	if !g.lines.ended && !(len(fields) > last+1 || len(fields) == last+1 && len(fields[last]) == 1) { // the codes have one letter
		g.rejects.add(line, text, insideLine)
		return
	}
	if len(fields) <= last {
		g.rejects.add(line, text, fmt.Sprintf("has %d fields of at least %d", len(fields), last+1))
		return
	}
	var from, to time.Time
	var date civil.Date
	var err1, err2 error
	ok := true
	if g.daily {
		from, err1 = time.Parse(time.DateTime, fields[0])
		to, err2 = time.Parse(time.DateTime, fields[1])
		date, ok = parseDate("2006-01-02", fields[2])
	} else {
		to, err1 = time.Parse(time.DateTime, fields[0]+" "+fields[1])
	}
	if err1 != nil || err2 != nil || !ok || to.Year() < 1 || g.daily && from.Year() < 1 {
		g.rejects.add(line, text, "the time or the day is none")
		return
	}
	for _, cell := range g.values {
		v, good := g.cell(fields, cell)
		switch {
		case g.daily && cell.series.wind: // of a moment, in a file of days
		case !good && g.daily:
			g.named(line, date)
		case !good:
		case g.daily:
			g.span(line, text, from, to, date, cell.series, v)
		default:
			g.moment(line, to, cell.series, v)
		}
	}
}

// cell reads one value; of a row without one it is NaN.
func (g *smhiRows) cell(fields []string, cell smhiCell) (v float64, good bool) {
	line, value := g.lines.number, fields[cell.value]
	if value == "" {
		return math.NaN(), true
	}
	v, ok := parseNumber(value, '.')
	switch {
	case !ok && cell.series.wind:
		return v, false
	case !ok:
		g.rejects.add(line, g.lines.text, fmt.Sprintf("%q is no number with a decimal point", shorten(value)))
		return v, false
	case cell.series.wind:
		return v, fields[cell.quality] == "G" || fields[cell.quality] == "Y"
	}
	return v, g.quality(line, g.lines.text, fields[cell.quality])
}

func indexOfAny(list []string, words ...string) int {
	for i, s := range list {
		for _, w := range words {
			if s == w {
				return i
			}
		}
	}
	return -1
}
