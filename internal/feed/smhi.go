package feed

import (
	"fmt"
	"math"
	"strings"
	"time"

	"budcall/internal/civil"
)

// smhiMetobs is a file of SMHI's meteorological observations, API version 1.0,
// data.csv or data.json (layout: files of 2017 to 2024, and SMHI's catalogue
// answers; data.json from memory). Parameters 1 (hourly, of moments), 2 (daily
// mean), 19 and 20 (daily minimum and maximum) are read; 22, 26, 27 and
// everything that isn't air temperature are refused by name. Several value
// columns in one file are read side by side.
//
// The CSV is blocks between blank lines: station, parameters with their unit,
// positions (not in order of time), data. The data's header is looked for by
// its words; notes in the last columns are no data. A byte-order mark and
// padding with semicolons are taken as they come.
//
// Missing: the line is absent, or its value is empty; in JSON null. Units: °C,
// as the file states. Quality: G is approved; Y is suspect, aggregated or only
// roughly checked, which whole archives are, so it is used; R is rejected and
// not used; each is counted, and another code is rejected.
//
// Day: the file says it line by line, from one second after the start to the
// end, and by which date it goes: 18–18 UTC dated by its end for the extremes,
// 00–24 UTC for the mean, which is a formula of 06, 12 and 18 UTC and the
// extremes (Ekholm-Modén), not that of 24 hours. A zip of the files of
// parameters 2, 19 and 20 of one station is read as one: the window is then the
// mean's, and a note says that the extremes have another.
var smhiMetobs = Format{
	Name:  "smhi-metobs",
	Brief: "SMHI meteorological observations, data.csv or data.json: daily mean, minimum, maximum (2, 19, 20) or hourly (1)",
	Needs: []string{"window or zone: which hours are a day, for parameter 1 (hourly)"},
	Finer: true,
	parse: parseSMHI, zipped: parseSMHIZip,
}

const smhiCredit = "SMHI (https://www.smhi.se/data), CC BY 4.0"

func parseSMHI(in *input, opt Options) (Batch, error) {
	start, _ := in.Peek(16)
	switch text := strings.TrimLeft(strings.TrimPrefix(string(start), "\ufeff"), " \t\r\n"); {
	case strings.HasPrefix(text, "{"), strings.HasPrefix(text, "["):
		return whole(parseSMHIJSON)(in, opt)
	}
	return parseSMHICSV(in, opt)
}

// smhiSeries is what one column of values is.
type smhiSeries struct {
	daily   bool
	element int
	wind    bool
	gust    bool
}

// smhiParameter tells what a parameter is by its name and description.
func smhiParameter(name, description, unit string) (smhiSeries, error) {
	what := shorten(name) + " (" + shorten(description) + ")"
	d := strings.ToLower(description)
	switch strings.ToLower(name) {
	case "vindhastighet":
		return smhiSeries{wind: true}, nil
	case "byvind":
		return smhiSeries{wind: true, gust: true}, nil
	case "lufttemperatur":
	default:
		return smhiSeries{}, refuse("use parameter 2, 19 or 20 (daily) or 1 (hourly)", "this is SMHI's %s, no air temperature", what)
	}
	if u := strings.ToLower(unit); u != "celsius" && u != "degree celsius" {
		return smhiSeries{}, refuse("tell the source", "the unit of %s is %q, not celsius", what, shorten(unit))
	}
	s := smhiSeries{daily: true}
	switch {
	case strings.Contains(d, "momentanvärde"):
		return smhiSeries{element: elementMean}, nil
	case strings.Contains(d, "månad"):
		return s, refuse("use parameter 2, 19 or 20 (daily) or 1 (hourly)", "this is SMHI's %s: monthly, no days", what)
	case strings.Contains(d, "2 gång"), strings.Contains(d, "2 ggr"), strings.Contains(d, "12 tim"), strings.Contains(d, "06 och 18"):
		return s, refuse("use parameter 19 or 20", "this is SMHI's %s: of 12 hours, no days", what)
	case !strings.Contains(d, "dygn"):
	case strings.HasPrefix(d, "medel"):
		s.element = elementMean
		return s, nil
	case strings.HasPrefix(d, "min"):
		s.element = elementMin
		return s, nil
	case strings.HasPrefix(d, "max"):
		s.element = elementMax
		return s, nil
	}
	return s, refuse("use parameter 2, 19 or 20 (daily) or 1 (hourly)", "SMHI's %s isn't known here", what)
}

// smhiValues gathers the values of either layout.
type smhiValues struct {
	collector
	readings readings
	winds    windReadings
	eras     []Era
}

// quality tells whether a value of that code is used.
func (g *smhiValues) quality(line int, text, code string) bool {
	if code != "" {
		g.flag("quality " + shorten(code))
	}
	switch code {
	case "G", "Y":
		return true
	case "R":
		g.rejects.add(line, text, "SMHI rejects it (quality R)")
	case "":
		g.rejects.add(line, text, "the quality is missing")
	default:
		g.rejects.add(line, text, fmt.Sprintf("the quality is %q, not G, Y or R", shorten(code)))
	}
	return false
}

// span takes one value of the time from (one second after its start) to.
func (g *smhiValues) span(line int, text string, from, to time.Time, date civil.Date, s smhiSeries, v float64) {
	start := from.Truncate(time.Minute)
	if from.Sub(start) > time.Second || to.Sub(start) != 24*time.Hour {
		g.rejects.add(line, text, fmt.Sprintf("the value is of %s, not of a day", to.Sub(start)))
		return
	}
	w := Window{StartHour: start.Hour(), EndHour: to.Hour(), StartMinute: start.Minute(), EndMinute: to.Minute(), Zone: "UTC"}
	first, last := civil.At(start), civil.At(to)
	if w.EndHour == 0 && w.EndMinute == 0 {
		w.EndHour, last = 24, last-1
	}
	switch date {
	case first:
		w.Label = LabelStart
	case last:
		w.Label = LabelEnd
	default:
		g.rejects.add(line, text, fmt.Sprintf("the day %s isn't that of the time %s to %s", date, from.Format(time.DateTime), to.Format(time.DateTime)))
		return
	}
	before := g.missing
	g.value(line, text, date, s.element, v)
	if g.missing == before {
		g.era(date, w)
	}
}

// named takes a day whose value isn't used: it is in the file, but missing.
func (g *smhiValues) named(line int, date civil.Date) {
	if _, known := g.find(date); !known {
		g.value(line, "", date, elementMean, math.NaN())
		g.missing-- // it isn't the file that calls it missing
	}
}

// era notes the window of a day; most files have one for all of them.
func (g *smhiValues) era(date civil.Date, w Window) {
	n := len(g.eras)
	switch {
	case n > 0 && g.eras[n-1].Window == w:
		g.eras[n-1].Days.First = min(g.eras[n-1].Days.First, date)
		g.eras[n-1].Days.Last = max(g.eras[n-1].Days.Last, date)
	case n < 1000:
		g.eras = append(g.eras, Era{Days: civil.Range{First: date, Last: date}, Window: w, Said: w.String()})
	}
}

// moment takes one value of a moment.
func (g *smhiValues) moment(line int, at time.Time, s smhiSeries, v float64) {
	if !s.wind {
		g.readings.add(instant(line, at, v))
		return
	}
	w := windReading{at: at, speed: v, gustMS: math.NaN()}
	if s.gust {
		w.speed, w.gustMS = w.gustMS, w.speed
	}
	g.winds.add(w)
}

// smhiFile is what a file says beside its values.
type smhiFile struct {
	station string
	place   Place
	series  []smhiSeries
}

// check refuses a file without temperature, or one of days and moments.
func (f *smhiFile) check() error {
	temperatures, daily := 0, 0
	for _, s := range f.series {
		if !s.wind {
			temperatures++
		}
		if s.daily {
			daily++
		}
	}
	switch {
	case len(f.series) == 0:
		return refuse("fetch it again, or tell the source", "the file doesn't say which parameter it holds, nor its unit")
	case temperatures == 0:
		return refuse("use parameter 2, 19 or 20 (daily) or 1 (hourly)", "this is SMHI's wind, no air temperature")
	case daily > 0 && daily < temperatures:
		return refuse("use a file of one kind", "the file holds daily temperatures and those of moments")
	}
	return nil
}

// batch settles what was read.
func (g *smhiValues) batch(f smhiFile, opt Options) (Batch, error) {
	list := g.readings.settle(&g.rejects)
	if len(g.days) == 0 && len(list) == 0 {
		if len(g.rejects.listed) == 0 {
			return Batch{}, refuseEmpty("ask for a longer period (latest-months, corrected-archive)", "SMHI's file holds no value: nothing was measured, or it isn't in yet")
		}
		return Batch{}, g.rejects.nothingRead("fetch it again, or tell the source")
	}
	b := g.collector.batch(opt)
	b.Station, b.Credit, b.Place = orText(opt.Station, f.station), smhiCredit, f.place
	b.Readings, b.MissingValues, b.Winds = list, b.MissingValues+g.readings.missing, g.winds.days(opt)
	b.MeanOf = meanOf(b.Days, MeanPublished)
	switch {
	case len(g.eras) == 1:
		b.Window = g.eras[0].Window
	case len(g.eras) > 1:
		b.Window, b.Eras = Window{}, g.eras
		b.Notes = append(b.Notes, "what a day is changes within the series: see the periods")
	}
	return b, nil
}
