package feed

import (
	"fmt"
	"strings"

	"budcall/internal/civil"
)

// ghcnAccess is GHCN-Daily as one day a line, as the access folder has it:
// STATION, DATE (YYYY-MM-DD), place and name, then for each element its value,
// quoted and padded, and its attributes "measurement,quality,source,hour" in
// one field. Layout: excerpts of such files; no whole one was at hand.
//
// Missing: an empty field or -9999. Units and quality flags: as in the other
// GHCN layouts, tenths of °C and of m/s; a flagged value is told and not used.
// Day: the contributor's own, not in the file.
var ghcnAccess = Format{
	Name:  "ghcn-access",
	Brief: "NOAA GHCN-Daily access CSV: one day a line, a column for each element, tenths of °C",
	Needs: []string{
		"station: the 11-character GHCN id, when the file holds several",
		"window: the hours of a day are the contributor's own and not in the file",
	},
	parse: parseGHCNAccess,
}

func parseGHCNAccess(in *input, opt Options) (Batch, error) {
	c, err := openColumns(in, ',', "STATION", "DATE")
	if err != nil {
		return Batch{}, err
	}
	var present []string
	for _, e := range ghcnElements {
		if c.has(e) {
			present = append(present, e)
		}
	}
	if len(present) == 0 {
		return Batch{}, atLine(noTemperature(elementColumns(c.names), ghcnOtherElements, "TMAX and TMIN, or TAVG"), c.lines.number)
	}
	for _, e := range append(present, ghcnWinds...) {
		c.minds(e, e+"_ATTRIBUTES")
	}
	g := ghcnCSVFile{station: onlyStation{wanted: opt.Station}}
	place := nowhere()
	for c.next(&g.rejects, c.least("STATION", "DATE")) {
		if !g.station.is(c.field("STATION")) {
			g.others++
			continue
		}
		date, ok := parseDate("2006-01-02", c.field("DATE"))
		if !ok {
			g.rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q is no date YYYY-MM-DD", shorten(c.field("DATE"))))
			continue
		}
		g.accessRow(c, date, present)
		place = Place{LatitudeDeg: c.optional("LATITUDE"), LongitudeDeg: c.optional("LONGITUDE"), AltitudeM: c.optional("ELEVATION", -999.9)}
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	station, err := g.station.settle(g.read)
	if err != nil {
		return Batch{}, err
	}
	if len(g.days) == 0 {
		return Batch{}, g.rejects.nothingRead("rows must hold STATION and a DATE YYYY-MM-DD")
	}
	g.collector.winds = g.winds.list()
	b := g.batch(opt)
	b.Station, b.Place, b.Credit, b.MeanOf = station, place, ghcnCredit, meanOf(b.Days, MeanPublished)
	return b, nil
}

// elementColumns leaves out what describes the station, and the attributes.
func elementColumns(names []string) (elements []string) {
	for _, n := range names {
		switch n {
		case "STATION", "DATE", "LATITUDE", "LONGITUDE", "ELEVATION", "NAME":
		default:
			if !strings.HasSuffix(n, "_ATTRIBUTES") {
				elements = append(elements, n)
			}
		}
	}
	return elements
}

// accessRow takes the values of one day.
func (g *ghcnCSVFile) accessRow(c *columns, date civil.Date, present []string) {
	cell := ghcnCell{line: c.lines.number, text: c.lines.text, date: date}
	for _, name := range present {
		cell.element, cell.value = name, c.field(name)
		cell.measured, cell.quality = attributes(c.field(name + "_ATTRIBUTES"))
		g.cell(cell)
	}
	for _, name := range ghcnWinds {
		if c.field(name) != "" {
			cell.element, cell.value = name, c.field(name)
			cell.measured, cell.quality = attributes(c.field(name + "_ATTRIBUTES"))
			g.windCell(cell)
		}
	}
}

// attributes cuts "measurement,quality,source,hour".
func attributes(text string) (measured, quality string) {
	parts := strings.SplitN(text, ",", 3)
	if len(parts) < 2 {
		return strings.TrimSpace(text), ""
	}
	return strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
}
