package feed

import (
	"fmt"
	"math"
)

// knmi is the daily file of KNMI (etmgeg_NNN.txt): prose in Dutch and English
// that names the columns, a header "# STN,YYYYMMDD,…", comma-separated padded
// rows (layout: the file's own words); some copies have no prose.
//
// Missing: blank. Units: TG, TN and TX in tenths of °C; FHX (highest hourly
// mean), FXX (highest gust) and FG (mean) in tenths of m/s; -1 is a value,
// except for precipitation and sunshine, which aren't read. Quality: no flags,
// the newest days may still change. Day: 00–24 UTC; TG is the mean of 24
// hourly values.
var knmi = Format{
	Name:  "knmi",
	Brief: "KNMI daily values (etmgeg): TG, TN and TX in tenths of °C, days of UTC",
	Needs: []string{"station: the number, when the file holds several"},
	parse: parseKNMI,
}

const knmiCredit = "KNMI (https://www.knmi.nl/), CC BY 4.0"

var knmiColumns = [elementCount]string{"TN", "TX", "TG"}

// knmiOther is what else KNMI's files hold.
var knmiOther = map[string]string{
	"RH": "precipitation", "RD": "precipitation", "DR": "precipitation", "SQ": "sunshine", "Q": "radiation", "FG": "wind", "FHX": "wind",
	"PG": "pressure", "UG": "humidity", "EV24": "evaporation", "T10N": "minimum at 10 cm only", "T": "hourly temperature", "HH": "hours",
}

func parseKNMI(in *input, opt Options) (Batch, error) {
	if err := naturalDay("UTC").contradicts(opt.Window); err != nil {
		return Batch{}, err
	}
	c, err := openColumns(in, ',', "STN", "YYYYMMDD")
	if err != nil {
		return Batch{}, err
	}
	if !c.has("TG") && !(c.has("TN") && c.has("TX")) {
		return Batch{}, atLine(noTemperature(c.names[2:], knmiOther, "TG, TN and TX of a day (etmgeg)"), c.lines.number)
	}
	c.minds("FG", "FHX", "FXX")
	g := knmiFile{columns: c, station: onlyStation{wanted: opt.Station}}
	for c.next(&g.rejects, c.least("STN", "YYYYMMDD", "TG", "TN", "TX")) {
		g.row()
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	station, err := g.stationRead(&g.station, "rows must hold a station and a date YYYYMMDD")
	if err != nil {
		return Batch{}, err
	}
	b := g.batch(opt)
	b.Station, b.Credit, b.Window, b.MeanOf = station, knmiCredit, naturalDay("UTC"), meanOf(b.Days, MeanPublished)
	return b, nil
}

type knmiFile struct {
	collector
	columns *columns
	station onlyStation
}

func (g *knmiFile) row() {
	c := g.columns
	if !g.station.is(c.field("STN")) {
		g.others++
		return
	}
	date, ok := compactDate(c.field("YYYYMMDD"))
	if !ok {
		g.rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q is no date YYYYMMDD", shorten(c.field("YYYYMMDD"))))
		return
	}
	row := dayRow{line: c.lines.number, text: c.lines.text, date: date}
	for e, name := range knmiColumns {
		if !c.has(name) {
			continue
		}
		row.has[e] = true
		if row.values[e], ok = tenths(c.field(name)); c.field(name) == "" {
			row.values[e] = math.NaN()
			row.missing++
		} else if !ok {
			g.rejects.add(row.line, row.text, fmt.Sprintf("%s %q is no whole number of tenths", name, shorten(c.field(name))))
			return
		}
	}
	row.into(&g.collector, 0)
	w := noWind(date)
	w.MeanMS, w.MaxMS, w.GustMS = c.optional("FG")/10, c.optional("FHX")/10, c.optional("FXX")/10
	g.wind(w)
}
