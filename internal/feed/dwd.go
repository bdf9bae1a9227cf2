package feed

import (
	"fmt"
	"path"
	"strconv"
	"strings"

	"budcall/internal/civil"
)

// dwdDaily is the daily climate file of Deutscher Wetterdienst's Climate Data
// Center: produkt_klima_tag_*.txt, semicolons, padded fields, columns by name;
// or the zip it comes in, whose Metadaten_Parameter file says by period what a
// day is (layout: DWD's data set description and the files themselves).
//
// Missing: -999 in any spelling. Units: °C; FX (highest gust) and FM (mean
// wind) in m/s. Quality: QN_4 ranks the temperatures; every level is used, for
// wrong values are not published at all, each is counted, and where two lines
// have one day the higher level holds. Levels 1 and 2 will still change.
//
// Day: stated by the zip (from 2001-04 mostly 00–24 UTC, before that mostly
// 21:30–21:30 CET and until 1986 local mean time); a text without its zip
// doesn't say. The mean is the published one, until 2001 mostly
// (T1+T2+2·T3)/4; it is no (max+min)/2.
var dwdDaily = Format{
	Name:  "dwd-daily",
	Brief: "Deutscher Wetterdienst daily climate (KL): produkt_klima_tag text, or its zip, which says what a day is",
	Needs: []string{
		"station: the number, when the file holds several",
		"window: for a text without its zip, which alone says the hours of a day",
	},
	parse:  parseDWD,
	zipped: parseDWDZip,
}

const dwdCredit = "Deutscher Wetterdienst, Climate Data Center (https://opendata.dwd.de/), CC BY 4.0"

// dwdEnd ends every row ("end of record").
const dwdEnd = "eor"

// dwdColumns are the temperatures, in the order of a day's values.
var dwdColumns = [elementCount]string{"TNK", "TXK", "TMK"}

// dwdOther is what other files of the same make hold.
var dwdOther = map[string]string{
	"RS": "precipitation", "RSK": "precipitation", "R1": "precipitation", "NSH_TAG": "snow depth", "SH_TAG": "snow depth", "SDK": "sunshine", "SD_SO": "sunshine",
	"FG_STRAHL": "radiation", "FD_STRAHL": "radiation", "ATMO_STRAHL": "radiation", "SD_STRAHL": "sunshine", "TT_TU": "hourly temperature",
	"RF_TU": "humidity", "V_TE002M": "soil temperature", "V_TE005M": "soil temperature", "F": "wind", "P": "pressure",
}

func parseDWD(in *input, opt Options) (Batch, error) {
	c, err := openColumns(in, ';', "STATIONS_ID", "MESS_DATUM")
	if err != nil {
		return Batch{}, err
	}
	if !c.has("TMK") && !(c.has("TXK") && c.has("TNK")) {
		return Batch{}, atLine(noTemperature(c.names[2:], dwdOther, "TMK, TXK and TNK (produkt_klima_tag)"), c.lines.number)
	}
	if c.names[len(c.names)-1] == dwdEnd {
		c.whole = func(last string) bool { return last == dwdEnd }
	}
	c.minds("QN_4", "FM", "FX")
	g := dwdFile{columns: c, station: onlyStation{wanted: strings.TrimLeft(opt.Station, "0")}}
	for c.next(&g.rejects, c.least("STATIONS_ID", "MESS_DATUM", "TMK", "TXK", "TNK")) {
		g.row()
	}
	if c.lines.err != nil {
		return Batch{}, c.lines.err
	}
	station, err := g.stationRead(&g.station, "rows must hold a station, a date YYYYMMDD and temperatures in °C")
	if err != nil {
		return Batch{}, err
	}
	if !opt.Window.Stated() {
		g.notes = append(g.notes, "this text doesn't say which hours a day covers: its zip does, in Metadaten_Parameter, and they change with the years")
	}
	b := g.batch(opt)
	b.Station, b.Credit, b.MeanOf = station, dwdCredit, meanOf(b.Days, MeanPublished)
	return b, nil
}

type dwdFile struct {
	collector
	columns *columns
	station onlyStation
}

func (g *dwdFile) row() {
	c := g.columns
	id := strings.TrimLeft(c.field("STATIONS_ID"), "0")
	if _, ok := wholeDigits(id); !ok {
		g.rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q is no station number", shorten(c.field("STATIONS_ID"))))
		return
	}
	if !g.station.is(id) {
		g.others++
		return
	}
	date, ok := compactDate(c.field("MESS_DATUM"))
	if !ok {
		g.rejects.add(c.lines.number, c.lines.text, fmt.Sprintf("%q is no date YYYYMMDD", shorten(c.field("MESS_DATUM"))))
		return
	}
	row := dayRow{line: c.lines.number, text: c.lines.text, date: date}
	if bad := row.numbers(c, dwdColumns, -999); bad != "" {
		g.rejects.add(row.line, row.text, fmt.Sprintf("%s %q is no number with a decimal point", bad, shorten(c.field(bad))))
		return
	}
	// The levels are in the order of how far a value has been checked: 10 is
	// finished, 5 the best that values up to 1980 have, 3 automatic, 1 formal.
	rank, _ := strconv.Atoi(c.field("QN_4")) // 0 where there is none
	if quality := c.field("QN_4"); quality != "" && quality != "-999" {
		g.flag("QN_4 " + shorten(quality))
	}
	row.into(&g.collector, max(rank, 0))
	w := noWind(date)
	w.MeanMS, w.GustMS = c.optional("FM", -999), c.optional("FX", -999)
	g.wind(w)
}

// numbers reads the row's values from columns; bad names one that is none.
func (r *dayRow) numbers(c *columns, names [elementCount]string, missing ...float64) (bad string) {
	for e, name := range names {
		if !c.has(name) {
			continue
		}
		v, ok := c.number(name, missing...)
		if !ok {
			return name
		}
		if v != v {
			r.missing++
		}
		r.values[e], r.has[e] = v, true
	}
	return ""
}

// parseDWDZip reads the product with what the zip says of its days.
func parseDWDZip(files archive, opt Options) (Batch, error) {
	var b Batch
	products := 0
	var eras []Era
	for _, f := range files {
		name := strings.ToLower(path.Base(f.Name))
		var err error
		switch {
		case strings.HasPrefix(name, "produkt_klima_tag") || len(files) == 1:
			products++
			b, err = files.parseOne(f, parseDWD, opt)
		case strings.HasPrefix(name, "metadaten_parameter") && strings.HasSuffix(name, ".txt"):
			var e Batch
			e, err = files.parseOne(f, parseDWDEras, opt)
			eras = append(eras, e.Eras...)
		}
		if err != nil {
			return Batch{}, fmt.Errorf("%s: %w", shorten(path.Base(f.Name)), err)
		}
	}
	if products != 1 {
		return Batch{}, refuse("use the zip of the daily climate (tageswerte_KL)", "the zip holds %d files produkt_klima_tag: %s", products, shorten(strings.Join(files.names(), ", ")))
	}
	b.settleEras(eras, opt)
	return b, nil
}

// settleEras keeps the periods that the days lie in; one window for all of
// them is the batch's window.
func (b *Batch) settleEras(eras []Era, opt Options) {
	first, last := b.Days[0].Date, b.Days[len(b.Days)-1].Date
	var windows []Window
	for _, e := range eras {
		if e.Days.Last < first || e.Days.First > last {
			continue
		}
		e.Days = civil.Range{First: max(e.Days.First, first), Last: min(e.Days.Last, last)}
		b.Eras = append(b.Eras, e)
		if len(windows) == 0 || windows[len(windows)-1] != e.Window {
			windows = append(windows, e.Window)
		}
	}
	b.Notes = nil
	switch {
	case len(windows) == 0:
		b.Notes = append(b.Notes, "the zip doesn't say which hours a day covers in these years")
	case opt.Window.Stated() && (len(windows) > 1 || windows[0].Stated() && windows[0] != opt.Window):
		b.Notes = append(b.Notes, fmt.Sprintf("the declared window (%s) isn't what the zip says: see the periods", opt.Window))
	case len(windows) == 1 && windows[0].Stated():
		b.Window = windows[0]
	case len(windows) > 1:
		b.Notes = append(b.Notes, "what a day is changes within the series: see the periods")
	}
}

// parseOne reads one file of the zip.
func (a archive) parseOne(f archiveFile, parse func(*input, Options) (Batch, error), opt Options) (Batch, error) {
	in, err := a.open(f)
	if err != nil {
		return Batch{}, err
	}
	b, err := parse(in, opt)
	if in.broken() != nil {
		return Batch{}, in.broken()
	}
	return b, err
}
