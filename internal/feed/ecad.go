package feed

import (
	"fmt"
	"math"
	"strings"

	"budcall/internal/civil"
)

// ecad is a series of the European Climate Assessment & Dataset, blended
// (TG_STAID000008.txt) or of one source, which has no column STAID: prose with
// licence and columns, then a header and fixed-width comma-separated rows
// (layout: the files' own words).
//
// One file holds one element: TG mean, TN minimum, TX maximum, in tenths of
// °C. Missing: -9999 or quality 9. Quality: 0 is valid; 1 is suspect, the
// value is told and not used. Day: an element of the source that stands in
// sources.txt and elements.txt, not in this file; in a blended series it may
// change where the source does.
var ecad = Format{
	Name:  "ecad",
	Brief: "ECA&D series, blended or of one source: one of TG, TN and TX in tenths of °C",
	Needs: []string{
		"station: the STAID or SOUID, when the file holds several",
		"window: from elements.txt of the download, for this file doesn't say it",
	},
	parse: parseECAD,
}

const ecadCredit = "ECA&D (https://www.ecad.eu), Klein Tank et al. 2002; see the licence in the file"

var ecadOther = map[string]string{
	"RR": "precipitation", "SD": "snow depth", "PP": "pressure", "SS": "sunshine", "QQ": "radiation", "HU": "humidity", "CC": "cloud", "FG": "wind", "FX": "wind gust", "DD": "wind direction",
}

type ecadFile struct {
	collector
	columns *columns
	element int
	name    string // of the element
	station onlyStation
	source  string // of the row before, in a blended series
	changes int
}

func parseECAD(in *input, opt Options) (Batch, error) {
	c, err := openColumns(in, ',', "SOUID", "DATE")
	if err != nil {
		return Batch{}, err
	}
	g := ecadFile{columns: c, element: -1, station: onlyStation{wanted: opt.Station}}
	var others []string
	for _, name := range c.names {
		switch upper := strings.ToUpper(name); upper {
		case "TN", "TX", "TG":
			g.element, g.name = map[string]int{"TN": elementMin, "TX": elementMax, "TG": elementMean}[upper], name
		case "STAID", "SOUID", "DATE":
		default:
			if !strings.HasPrefix(upper, "Q_") {
				others = append(others, name)
			}
		}
	}
	if g.element < 0 {
		return Batch{}, atLine(noTemperature(others, ecadOther, "TG, TN or TX"), c.lines.number)
	}
	if quality := "Q_" + g.name; c.names[len(c.names)-1] == quality {
		c.whole = func(last string) bool { return len(last) == 1 } // the codes have one digit
	}
	c.minds("Q_" + g.name)
	for c.next(&g.rejects, c.least("SOUID", "DATE", g.name)) {
		g.row()
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	return g.end(opt)
}

func (g *ecadFile) end(opt Options) (Batch, error) {
	station, err := g.stationRead(&g.station, "rows must hold a date YYYYMMDD and a value in tenths of °C")
	if err != nil {
		return Batch{}, err
	}
	if !opt.Window.Stated() {
		g.notes = append(g.notes, "the file doesn't say which hours a day covers: elements.txt of the download does, by source")
	}
	if g.changes > 0 {
		g.notes = append(g.notes, fmt.Sprintf("the source changes within the series (%d times), and what a day is may change with it", g.changes))
	}
	b := g.batch(opt)
	b.Station, b.Credit, b.MeanOf = station, ecadCredit, meanOf(b.Days, MeanPublished)
	return b, nil
}

func (g *ecadFile) row() {
	c, line, text := g.columns, g.columns.lines.number, g.columns.lines.text
	id := c.field("SOUID")
	if c.has("STAID") {
		id = c.field("STAID")
	}
	if _, ok := wholeDigits(id); !ok {
		g.rejects.add(line, text, fmt.Sprintf("%q is no number of a station or source", shorten(id)))
		return
	}
	if !g.station.is(id) {
		g.others++
		return
	}
	date, ok := compactDate(c.field("DATE"))
	if !ok {
		g.rejects.add(line, text, fmt.Sprintf("%q is no date YYYYMMDD", shorten(c.field("DATE"))))
		return
	}
	if source := c.field("SOUID"); source != g.source {
		if g.source != "" {
			g.changes++
		}
		g.source = source
	}
	g.take(date)
}

// take settles one value by its quality code.
func (g *ecadFile) take(date civil.Date) {
	c, line, text := g.columns, g.columns.lines.number, g.columns.lines.text
	value, quality := c.field(g.name), c.field("Q_"+g.name)
	v, ok := tenths(value)
	missing := value == "-9999" || value == ""
	if quality != "" && !missing {
		g.flag("Q " + shorten(quality))
	}
	switch {
	case missing, ok && quality == "9":
		g.value(line, text, date, g.element, math.NaN())
	case !ok:
		g.rejects.add(line, text, fmt.Sprintf("%s %q is no whole number of tenths", g.name, shorten(value)))
	case quality == "0":
		g.value(line, text, date, g.element, v)
	default:
		reason := fmt.Sprintf("the provider gives it quality %q, which isn't 0, 1 or 9", shorten(quality))
		if quality == "1" {
			reason = "the provider holds it suspect (quality 1)"
		}
		g.rejects.add(line, text, reason)
		g.value(line, text, date, g.element, math.NaN())
		g.missing-- // it isn't the file that calls it missing
	}
}
