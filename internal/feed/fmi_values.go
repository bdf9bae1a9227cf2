package feed

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"budcall/internal/weather"
)

// fmiKind is how a parameter's values lie in time.
type fmiKind int

const (
	fmiDaily fmiKind = 1 << iota
	fmiHourly
	fmiMoment
)

func (k fmiKind) words() (words []string) {
	for i, w := range []string{"daily", "hourly", "of moments"} {
		if k&(1<<i) != 0 {
			words = append(words, w)
		}
	}
	return words
}

// fmiParameter is what a parameter's values are.
type fmiParameter struct {
	kind    fmiKind // 0: wind
	element int     // of the temperature
	speed   bool    // wind: a mean speed, else a gust
	over    time.Duration
}

// fmiParameters are those taken, by their names in small letters, as answers
// write them in the case of the request.
var fmiParameters = map[string]fmiParameter{
	"tmin": {kind: fmiDaily, element: elementMin}, "tmax": {kind: fmiDaily, element: elementMax}, "tday": {kind: fmiDaily, element: elementMean},
	"ta_pt1h_min": {kind: fmiHourly, element: elementMin, over: time.Hour}, "ta_pt1h_max": {kind: fmiHourly, element: elementMax, over: time.Hour},
	"ta_pt1h_avg": {kind: fmiHourly, element: elementMean, over: time.Hour},
	"t2m":         {kind: fmiMoment, element: elementMean}, "temperature": {kind: fmiMoment, element: elementMean},
	"ws_10min": {speed: true}, "windspeedms": {speed: true}, "ws_pt1h_avg": {speed: true, over: time.Hour}, "ws_pt1h_max": {speed: true, over: time.Hour},
	"wg_10min": {}, "windgust": {}, "wg_pt1h_max": {over: time.Hour},
}

// fmiOther names what other answers hold.
var fmiOther = map[string]string{
	"RRDAY": "precipitation", "R_1H": "precipitation", "RI_10MIN": "precipitation", "PRA_PT1H_ACC": "precipitation", "PRI_PT1H_MAX": "precipitation", "PRECIPITATION1H": "precipitation",
	"SNOW": "snow depth", "SNOW_AWS": "snow depth", "TG_PT12H_MIN": "temperature at the ground", "RH": "humidity", "HUMIDITY": "humidity", "RH_PT1H_AVG": "humidity",
	"TD": "dew point", "DEWPOINT": "dew point", "P_SEA": "pressure", "PRESSURE": "pressure", "PA_PT1H_AVG": "pressure",
	"GLOB_1MIN": "radiation", "GLOB_PT1H_AVG": "radiation", "RADIATIONGLOBAL": "radiation", "RADIATIONGLOBALACCUMULATION": "radiation",
	"GEOPHEIGHT": "height",
}

// fmiValue is one value as it stands in the answer.
type fmiValue struct {
	line                   int
	at                     time.Time
	parameter, text, place string
}

// fmiValues gathers values into days, or into readings of moments.
type fmiValues struct {
	collector
	kinds fmiKind
	rows  map[int64]int // by epoch, into cells
	cells []fmiCell
	winds windReadings
}

// fmiCell is a moment whose values stand apart in the answer.
type fmiCell struct {
	Reading
	said [elementCount]bool
}

func (g *fmiValues) take(v fmiValue, p fmiParameter) {
	c := math.NaN()
	if v.text != "NaN" {
		var ok bool
		if c, ok = parseNumber(v.text, '.'); !ok {
			if p.kind != 0 {
				g.kinds |= p.kind
				g.rejects.add(v.line, v.parameter+" "+v.text, "is no number with a decimal point")
			}
			return
		}
	}
	g.kinds |= p.kind
	switch p.kind {
	case fmiDaily:
		date, ok := midnightUTC(v.at)
		if !ok {
			g.rejects.add(v.line, v.at.Format(time.RFC3339), "a daily value isn't stamped with a date at 00 UTC")
			return
		}
		g.collector.value(v.line, v.parameter+" "+v.text, date, p.element, c)
	case 0:
		w := windReading{at: v.at, over: p.over, speed: math.NaN(), gustMS: c}
		if p.speed {
			w.speed, w.gustMS = c, math.NaN()
		}
		g.winds.add(w)
	default:
		g.reading(v, p, c)
	}
}

// reading puts a value to its moment; a repeat that says otherwise becomes a
// reading of its own, so that neither is used.
func (g *fmiValues) reading(v fmiValue, p fmiParameter, c float64) {
	epoch := v.at.Unix()
	i, known := g.rows[epoch]
	if known && g.cells[i].said[p.element] {
		if sameC(*g.cells[i].into(p.element), c) {
			g.rejects.add(v.line, v.parameter+" "+v.text, fmt.Sprintf("repeats line %d: kept once", g.cells[i].Line))
			return
		}
		known = false
	}
	if !known {
		i = len(g.cells)
		r := instant(v.line, v.at, math.NaN())
		r.Over = p.over
		g.cells = append(g.cells, fmiCell{Reading: r})
		if g.rows == nil {
			g.rows = map[int64]int{}
		}
		if _, there := g.rows[epoch]; !there {
			g.rows[epoch] = i
		}
	}
	g.cells[i].said[p.element] = true
	*g.cells[i].into(p.element) = c
}

func (c *fmiCell) into(element int) *float64 {
	return [elementCount]*float64{&c.MinC, &c.MaxC, &c.TempC}[element]
}

// settle makes the batch of one kind of values.
func (g *fmiValues) settle(opt Options) Batch {
	if g.kinds == fmiDaily {
		b := g.batch(opt)
		b.MeanOf = meanOf(b.Days, MeanPublished)
		extremes := slices.ContainsFunc(b.Days, func(d weather.Day) bool { return !math.IsNaN(d.MinC) || !math.IsNaN(d.MaxC) })
		if !b.Window.Stated() && extremes {
			b.Window = eveningUTC
		}
		if b.MeanOf != "" {
			b.Notes = append(b.Notes, "tday is FMI's formula of synoptic hours, not the mean of the 24 hours of the extremes")
		}
		return b
	}
	var rs readings
	for _, c := range g.cells {
		rs.add(c.Reading)
	}
	list := rs.settle(&g.rejects)
	b := g.batch(opt)
	b.Readings, b.MissingValues, b.Winds = list, rs.missing, g.winds.days(opt)
	if rs.missing > 0 && rs.missing == len(list) {
		b.Notes = append(b.Notes, "every temperature is missing: a forecast for a point outside the model's area looks like that")
	}
	return b
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
