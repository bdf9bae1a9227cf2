package feed

import (
	"fmt"
	"math"
	"strings"
)

// eccc is the daily CSV of Environment and Climate Change Canada's climate
// data service, a station-year a file: byte-order mark, all fields quoted,
// units in the header (layout: the files themselves).
//
// Missing: an empty field, mostly with flag M; every day of the year has a
// line, empty where it is absent or still to come. Units: °C; the gust in km/h,
// "<31" where none reached 31. Quality: E (estimated) and ^ (incomplete) are
// used and counted, as are days not yet reviewed (†). The mean is (max+min)/2
// as the service computes it. Day: the climatological day; its hours are not
// in the file.
var eccc = Format{
	Name:  "eccc",
	Brief: "Environment and Climate Change Canada daily CSV (en_climate_daily_*), °C",
	Needs: []string{
		"station: the Climate ID, when the file holds several",
		"window: the hours of the climatological day are not in the file",
	},
	parse: parseECCC,
}

const ecccCredit = "Based on Environment and Climate Change Canada data"

var ecccColumns = [elementCount]string{"Min Temp (°C)", "Max Temp (°C)", "Mean Temp (°C)"}

var ecccOther = map[string]string{
	"TEMP (°C)": "hourly temperature", "TEMP": "hourly temperature", "TOTAL RAIN (MM)": "precipitation", "TOTAL PRECIP (MM)": "precipitation",
	"MEAN MAX TEMP (°C)": "monthly temperature", "MEAN TEMP (°C)": "mean temperature without its extremes",
}

func parseECCC(in *input, opt Options) (Batch, error) {
	c, err := openColumns(in, ',', "Date/Time")
	if err != nil {
		return Batch{}, err
	}
	if !c.has(ecccColumns[elementMin]) || !c.has(ecccColumns[elementMax]) {
		return Batch{}, atLine(noTemperature(c.names, ecccOther, "Max Temp (°C) and Min Temp (°C) by day (timeframe=2)"), c.lines.number)
	}
	c.minds("Min Temp Flag", "Max Temp Flag", "Mean Temp Flag", "Data Quality", "Spd of Max Gust (km/h)", "Latitude (y)", "Longitude (x)")
	g := ecccFile{columns: c, station: onlyStation{wanted: opt.Station}, place: nowhere()}
	for c.next(&g.rejects, c.least("Date/Time", "Min Temp (°C)", "Max Temp (°C)", "Mean Temp (°C)")) {
		g.row()
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	station, err := g.stationRead(&g.station, "rows must hold a Date/Time YYYY-MM-DD")
	if err != nil {
		return Batch{}, err
	}
	b := g.batch(opt)
	b.Station, b.Credit, b.Place, b.MeanOf = station, ecccCredit, g.place, meanOf(b.Days, MeanMidRange)
	return b, nil
}

type ecccFile struct {
	collector
	columns *columns
	station onlyStation
	place   Place
}

func (g *ecccFile) row() {
	c := g.columns
	if !g.station.is(c.field("Climate ID")) {
		g.others++
		return
	}
	date, ok := parseDate("2006-01-02", c.field("Date/Time"))
	if !ok {
		g.rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q is no date YYYY-MM-DD", shorten(c.field("Date/Time"))))
		return
	}
	row := dayRow{line: c.lines.number, text: c.lines.text, date: date}
	if bad := row.numbers(c, ecccColumns); bad != "" {
		g.rejects.add(row.line, row.text, fmt.Sprintf("%s %q is no number", bad, shorten(c.field(bad))))
		return
	}
	for _, name := range ecccColumns {
		word, _, _ := strings.Cut(name, " (")
		if f := c.field(word + " Flag"); f != "" {
			g.flag(word + " " + shorten(f))
		}
	}
	if f := c.field("Data Quality"); f != "" {
		g.flag("Data Quality " + shorten(f))
	}
	row.into(&g.collector, 0)
	g.place = Place{LatitudeDeg: c.optional("Latitude (y)"), LongitudeDeg: c.optional("Longitude (x)"), AltitudeM: math.NaN()}
	w := noWind(date)
	w.GustMS = kmh(c.optional("Spd of Max Gust (km/h)")) // "<31" is no number
	g.wind(w)
}
