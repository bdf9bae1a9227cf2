package feed

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
)

// meteoSwiss is MeteoSwiss' open station data (ogd-smn_<station>_d_*.csv,
// _h_ and _t_; ogd-nbcn likewise): semicolons, Windows-1252, dd.mm.yyyy HH:MM,
// columns named by parameter (layout: MeteoSwiss' documentation).
//
// Missing: an empty field. Units: tre200d0, -dx and -dn are mean, maximum and
// minimum in °C; ths200* the homogenised ones; fkl010d1 the highest gust and
// fkl010d0 the mean wind in m/s, fu3010d1 and -d0 the same in km/h. Quality: no
// flags; values settle in about five days. Day: 00:00–23:50 UTC of the date,
// dated by its start; hours and ten minutes are stamped at their end.
var meteoSwiss = Format{
	Name:  "meteoswiss",
	Brief: "MeteoSwiss open station data: daily, or hours and ten minutes as readings",
	Needs: []string{
		"station: the abbreviation, when the file holds several",
		"window: for hours and ten minutes, which hours are a day",
	},
	Finer: true,
	parse: parseMeteoSwiss,
}

const meteoSwissCredit = "Source: MeteoSwiss, CC BY 4.0"

// meteoSwissSteps is what a file may be: by the letter in its columns.
var meteoSwissSteps = []struct {
	columns [elementCount]string
	over    time.Duration // 0 for a moment
	daily   bool
}{
	{[elementCount]string{"tre200dn", "tre200dx", "tre200d0"}, 0, true},
	{[elementCount]string{"ths200dn", "ths200dx", "ths200d0"}, 0, true},
	{[elementCount]string{"tre200hn", "tre200hx", "tre200h0"}, time.Hour, false},
	{[elementCount]string{"-", "-", "tre200s0"}, 0, false},
}

var meteoSwissOther = map[string]string{
	"RRE150D0": "precipitation", "RRE150H0": "precipitation", "RRE150Z0": "precipitation", "RKA150D0": "precipitation", "GRE000D0": "radiation", "GRE000H0": "radiation", "GRE000Z0": "radiation",
	"SRE000D0": "sunshine", "URE200D0": "humidity", "PRESTAD0": "pressure", "TRE200M0": "monthly temperature", "TRE200Y0": "yearly temperature", "TRE005DN": "minimum at 5 cm",
}

type meteoSwissFile struct {
	collector
	readings
	columns *columns
	names   [elementCount]string
	over    time.Duration
	daily   bool
	station onlyStation
}

func parseMeteoSwiss(in *input, opt Options) (Batch, error) {
	c, err := openColumns(in, ';', "station_abbr", "reference_timestamp")
	if err != nil {
		return Batch{}, err
	}
	g := meteoSwissFile{columns: c, station: onlyStation{wanted: opt.Station}}
	for _, s := range meteoSwissSteps {
		if c.has(s.columns[elementMean]) || s.daily && c.has(s.columns[elementMin]) && c.has(s.columns[elementMax]) {
			g.names, g.over, g.daily = s.columns, s.over, s.daily
			break
		}
	}
	if g.names == [elementCount]string{} {
		return Batch{}, atLine(noTemperature(c.names[2:], meteoSwissOther, "tre200d0, tre200dx and tre200dn"), c.lines.number)
	}
	c.minds("fkl010d1", "fu3010d1", "fkl010d0", "fu3010d0")
	for c.next(&g.rejects, c.least("station_abbr", "reference_timestamp", g.names[0], g.names[1], g.names[2])) {
		g.row()
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	return g.end(opt)
}

func (g *meteoSwissFile) end(opt Options) (Batch, error) {
	station, err := g.station.settle(len(g.days) + len(g.list))
	if err != nil {
		return Batch{}, err
	}
	if len(g.days)+len(g.list) == 0 {
		return Batch{}, g.rejects.nothingRead("rows must hold a station and a time dd.mm.yyyy HH:MM")
	}
	list := g.settle(&g.rejects)
	b := g.batch(opt)
	b.Station, b.Credit = station, meteoSwissCredit
	if g.daily {
		if err := naturalDay("UTC").contradicts(opt.Window); err != nil {
			return Batch{}, err
		}
		b.Window, b.MeanOf = naturalDay("UTC"), meanOf(b.Days, MeanPublished)
		return b, nil
	}
	b.Readings, b.MissingValues = list, g.readings.missing
	return b, nil
}

func (g *meteoSwissFile) row() {
	c, line, text := g.columns, g.columns.lines.number, g.columns.lines.text
	if !g.station.is(c.field("station_abbr")) {
		g.others++
		return
	}
	at, err := time.Parse("02.01.2006 15:04", c.field("reference_timestamp"))
	if err != nil || at.Year() < 1 {
		g.rejects.add(line, text, fmt.Sprintf("%q is no time dd.mm.yyyy HH:MM", shorten(c.field("reference_timestamp"))))
		return
	}
	row := dayRow{line: line, text: text, date: civil.At(at)}
	if bad := row.numbers(c, g.names); bad != "" {
		g.rejects.add(line, text, fmt.Sprintf("%s %q is no number", bad, shorten(c.field(bad))))
		return
	}
	if !g.daily {
		r := Reading{At: at, Over: g.over, TempC: row.values[elementMean], MinC: math.NaN(), MaxC: math.NaN(), Line: line}
		if row.has[elementMin] && row.has[elementMax] {
			r.MinC, r.MaxC = row.values[elementMin], row.values[elementMax]
		}
		g.add(r)
		return
	}
	if at.Hour() != 0 || at.Minute() != 0 {
		g.rejects.add(line, text, "a day of MeteoSwiss is stamped 00:00")
		return
	}
	row.into(&g.collector, 0)
	g.gust(row.date)
}

// gust keeps the day's wind, in m/s where the file has it so.
func (g *meteoSwissFile) gust(date civil.Date) {
	w := noWind(date)
	w.GustMS = orElse(g.columns.optional("fkl010d1"), kmh(g.columns.optional("fu3010d1")))
	w.MeanMS = orElse(g.columns.optional("fkl010d0"), kmh(g.columns.optional("fu3010d0")))
	g.wind(w)
}
