package feed

import (
	"fmt"
	"math"
	"strings"

	"budcall/internal/civil"
)

// ghcnCSV is GHCN-Daily as one value a line, as the by_year and by_station
// files have it: station, YYYYMMDD, element, value, and the measurement,
// quality and source flags and the hour of observation (NOAA's readme of these
// files). NOAA's copies have no header, others have one; columns after these
// eight are left alone.
//
// Missing: -9999, or no line. Units: TMAX, TMIN and TAVG in tenths of °C;
// WSFG, WSF5, WSF2 and AWND in tenths of m/s. Quality: a letter in the quality
// flag is a failed check, the value is told and not used. Day: the
// contributor's own, not in the file.
var ghcnCSV = Format{
	Name:  "ghcn-csv",
	Brief: "NOAA GHCN-Daily by_year or by_station: one value a line, with or without header, tenths of °C",
	Needs: []string{
		"station: the 11-character GHCN id, when the file holds several",
		"window: the hours of a day are the contributor's own and not in the file",
	},
	parse: parseGHCNCSV,
}

// The columns of a line, in order.
const (
	ghcnCSVStation = iota
	ghcnCSVDate
	ghcnCSVElement
	ghcnCSVValue
	ghcnCSVMeasured
	ghcnCSVQuality
	ghcnCSVColumns
)

// ghcnOtherElements says what GHCN's other elements are, for a refusal by name.
var ghcnOtherElements = map[string]string{
	"PRCP": "precipitation", "SNOW": "snowfall", "SNWD": "snow depth", "EVAP": "evaporation", "TSUN": "sunshine", "PSUN": "sunshine",
	"AWND": "wind", "WSFG": "wind", "WSF2": "wind", "WSF5": "wind", "TOBS": "temperature at the time of observation only", "RHAV": "humidity",
}

// ghcnWinds are GHCN's elements of wind that are read.
var ghcnWinds = []string{"WSFG", "WSF5", "WSF2", "AWND"}

type ghcnCSVFile struct {
	collector
	station  onlyStation
	elements seen
	read     int // temperatures of the station
	winds    windByDay
	first    string // line of the file
	again    headerAgain
}

func parseGHCNCSV(in *input, opt Options) (Batch, error) {
	g := ghcnCSVFile{station: onlyStation{wanted: opt.Station}}
	l := linesOf(in)
	for l.next() {
		switch {
		case l.text == "":
			continue
		case isGHCNHeader(l.text):
			if g.first != "" {
				g.again.meet(l.number, l.text, true, &g.rejects)
			}
		case !l.ended && !g.provedWhole(l.text):
			g.rejects.add(l.number, l.text, insideLine)
		default:
			g.line(l.number, l.text)
		}
		if g.first == "" {
			g.first = l.text
		}
	}
	if l.err != nil {
		return Batch{}, l.err
	}
	station, err := g.station.settle(g.read)
	switch {
	case err != nil:
		return Batch{}, err
	case g.read == 0 && len(g.elements) > 0:
		return Batch{}, noTemperature(g.elements, ghcnOtherElements, "TMAX and TMIN, or TAVG")
	case len(g.days) == 0:
		return Batch{}, g.rejects.nothingRead("lines must be STATION,YYYYMMDD,ELEMENT,VALUE and four more fields")
	}
	g.collector.winds = g.winds.list()
	b := g.batch(opt)
	b.Station, b.Credit, b.MeanOf = station, ghcnCredit, meanOf(b.Days, MeanPublished)
	return b, nil
}

// provedWhole reports whether a last line without a line break is whole in what
// is used of it, and has as many fields as the first.
func (g *ghcnCSVFile) provedWhole(text string) bool {
	fields, ok := splitFields(text, ',')
	usual, _ := splitFields(g.first, ',')
	return ok && provedWhole(text, fields, ghcnCSVQuality, len(usual))
}

// isGHCNHeader tells a header from a value: its third column is a word.
func isGHCNHeader(text string) bool {
	fields := strings.SplitN(text, ",", 4)
	if len(fields) < 4 {
		return false
	}
	name := strings.ToUpper(strings.Trim(fields[2], `" `))
	return name == "ELEMENT"
}

func (g *ghcnCSVFile) line(number int, text string) {
	fields, ok := cutFields(text, ghcnCSVColumns)
	if !ok {
		g.rejects.add(number, text, "a quote is left open or stands inside a field")
		return
	}
	if len(fields) <= ghcnCSVValue {
		g.rejects.add(number, text, fmt.Sprintf("has %d fields, a value is number %d", len(fields), ghcnCSVValue+1))
		return
	}
	for len(fields) < ghcnCSVColumns {
		fields = append(fields, "")
	}
	if !g.station.is(fields[ghcnCSVStation]) {
		g.others++
		return
	}
	date, ok := compactDate(fields[ghcnCSVDate])
	if !ok {
		g.rejects.add(number, text, fmt.Sprintf("%q is no date YYYYMMDD", shorten(fields[ghcnCSVDate])))
		return
	}
	g.elements.add(fields[ghcnCSVElement])
	g.cell(ghcnCell{line: number, text: text, date: date, element: fields[ghcnCSVElement],
		value: fields[ghcnCSVValue], measured: fields[ghcnCSVMeasured], quality: fields[ghcnCSVQuality]})
}

// ghcnCell is one value with its flags, as every GHCN layout but .dly has it.
type ghcnCell struct {
	line                              int
	text                              string
	date                              civil.Date
	element, value, measured, quality string
}

func (g *ghcnCSVFile) cell(c ghcnCell) {
	element := ghcnElement(c.element)
	if element < 0 {
		g.others++
		g.windCell(c)
		return
	}
	g.read++
	v, ok := tenths(c.value)
	if c.quality != "" {
		g.flag(c.element + " q=" + shorten(c.quality))
	}
	if c.measured != "" {
		g.flag(c.element + " m=" + shorten(c.measured))
	}
	switch {
	case c.value == "-9999" || c.value == "":
		g.value(c.line, c.text, c.date, element, math.NaN())
	case !ok:
		g.rejects.add(c.line, c.text, fmt.Sprintf("%s %q is no whole number of tenths", c.element, shorten(c.value)))
	case c.quality != "":
		g.rejects.add(c.line, c.text, fmt.Sprintf("%s failed the provider's quality check (flag %s)", c.element, shorten(c.quality)))
		g.value(c.line, c.text, c.date, element, math.NaN())
		g.missing-- // it isn't the file that calls it missing
	default:
		g.value(c.line, c.text, c.date, element, v)
	}
}

// windCell keeps a wind that passed.
func (g *ghcnCSVFile) windCell(c ghcnCell) {
	v, ok := tenths(c.value)
	if ok && c.quality == "" && c.value != "-9999" {
		g.winds.take(c.date, c.element, v)
	}
}

// ghcnElement gives the element of a day's value, or -1.
func ghcnElement(name string) int {
	for i, known := range ghcnElements {
		if name == known {
			return i
		}
	}
	return -1
}
