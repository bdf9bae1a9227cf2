package feed

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// mosmix is a MOSMIX forecast of Deutscher Wetterdienst, KML or KMZ, of one
// station or many (layout: a recorded file): the time steps once, then for
// each station one list of values an element. TTT gives the temperatures of
// moments, TX and TN the extremes of the 12 hours that end at 06 and 18 UTC,
// FF the wind and FX1 (else FX3) the highest gust of the hours before.
//
// Missing: the sign that FormatCfg declares, "-". Units: kelvin, m/s. There are
// no quality flags; E_TTT, the expected error, is not used.
//
// Day: made of the steps for the zone or window asked for; 12-hour extremes
// widen a day in which they lie wholly.
var mosmix = Format{
	Name:  "mosmix",
	Brief: "Deutscher Wetterdienst MOSMIX KML or KMZ: a forecast of about ten days, hour by hour",
	Needs: []string{
		"zone: the site's time zone, whose days are made of the steps; or a window",
		"station: the station's id, when the file holds several",
	},
	Finer: true,
	parse: parseMosmix,
}

const mosmixCredit = "Deutscher Wetterdienst, MOSMIX (https://opendata.dwd.de/), CC BY 4.0"

var mosmixSpaces = map[string]string{
	"www.opengis.net/kml/2.2": "kml",
	"opendata.dwd.de/weather/lib/pointforecast_dwd_extension_V1_0.xsd": "dwd",
}

// mosmixOther names what other lists hold.
var mosmixOther = map[string]string{
	"PPPP": "pressure", "RR1C": "precipitation", "RR3C": "precipitation", "RRS1C": "snow", "RAD1H": "radiation", "SUND1": "sunshine", "SUND": "sunshine",
	"TD": "dew point", "T5CM": "temperature at the ground", "TG": "temperature at the ground", "E_TTT": "expected error", "N": "cloud", "FF": "wind", "DD": "wind", "FX1": "wind",
}

// mosmixFile is a file while it is read.
type mosmixFile struct {
	x       *xmlReader
	steps   []time.Time
	issued  time.Time
	missing string

	now     mosmixStation // being read
	element string
	chosen  *mosmixStation
	by      bool // chosen because it is wanted
	met     []string
	more    int // stations beyond those of met
}

// mosmixStation is one station's lists of values.
type mosmixStation struct {
	name, coordinates string
	lists             map[string]string // of the elements used
	others            []string
}

func parseMosmix(in *input, opt Options) (Batch, error) {
	g, err := readMosmix(in, opt)
	if err != nil {
		return Batch{}, err
	}
	return g.batch(opt)
}

// readMosmix reads the file's times, and the lists of the wanted station.
func readMosmix(in *input, opt Options) (*mosmixFile, error) {
	g := mosmixFile{x: openXML(in, "MOSMIX", mosmixSpaces), missing: "-"}
	for e := g.x.next(); e != xmlOver; e = g.x.next() {
		switch {
		case e == xmlBegin && g.x.depth == 1 && g.x.name != "kml:kml":
			return nil, refuse("use MOSMIX_L or MOSMIX_S of DWD's open data", "this XML is a %s, no MOSMIX KML", shorten(g.x.name))
		case e == xmlBegin:
			g.begin()
		default:
			g.end(opt.Station)
		}
	}
	switch {
	case g.x.err != nil:
		return nil, g.x.err
	case g.chosen == nil:
		return nil, refuse("use MOSMIX_L or MOSMIX_S of DWD's open data", "the file holds no station (Placemark)")
	case !g.by && len(g.met) > 1:
		return nil, refuse("name one as station", "the file holds %d stations: %s", len(g.met)+g.more, shortenTo(200, strings.Join(g.met, ", ")))
	}
	return &g, nil
}

func (g *mosmixFile) begin() {
	switch g.x.name {
	case "kml:Placemark":
		g.now = mosmixStation{lists: map[string]string{}}
	case "dwd:Forecast":
		g.element = g.x.attr("elementName")
	}
}

func (g *mosmixFile) end(wanted string) {
	text := g.x.content()
	switch g.x.name {
	case "dwd:TimeStep":
		t, ok := timestamp(text)
		if !ok {
			t = time.Time{} // keeps its place among the values; it is rejected later
		}
		g.steps = append(g.steps, t)
	case "dwd:IssueTime":
		if t, ok := timestamp(text); ok {
			g.issued = t
		}
	case "dwd:DefaultUndefSign":
		g.missing = text
	case "kml:name":
		g.now.name = text
	case "kml:coordinates":
		g.now.coordinates = text
	case "dwd:value":
		g.now.take(g.element, text)
	case "kml:Placemark":
		g.placemark(wanted)
	}
}

func (s *mosmixStation) take(element, values string) {
	switch element {
	case "TTT", "TX", "TN", "FF", "FX1", "FX3":
		if s.lists != nil {
			s.lists[element] = values
		}
	default:
		if len(s.others) < 100 {
			s.others = append(s.others, element)
		}
	}
}

// placemark keeps the station if it is the first or the wanted one.
func (g *mosmixFile) placemark(wanted string) {
	s := g.now
	if len(g.met) < 8 {
		g.met = append(g.met, strings.Clone(s.name))
	} else {
		g.more++
	}
	by := wanted != "" && s.name == wanted
	if g.chosen == nil || by && !g.by {
		g.chosen, g.by = &s, by
	}
}

// forecast reads the lists of the chosen station.
func (g *mosmixFile) forecast() (f forecastSteps, err error) {
	s := g.chosen
	if _, there := s.lists["TTT"]; !there {
		return f, noTemperature(append(sortedKeys(s.lists), s.others...), mosmixOther, "TTT")
	}
	if n := len(strings.Fields(s.lists["TTT"])); n != len(g.steps) {
		return f, refuse("fetch it again, or tell the source", "TTT has %d values for %d time steps", n, len(g.steps))
	}
	temperatures := g.numbers(s, "TTT", &f)
	lows, highs := g.numbers(s, "TN", &f), g.numbers(s, "TX", &f)
	speeds, gusts, over := g.numbers(s, "FF", nil), g.numbers(s, "FX1", nil), time.Hour
	if _, there := s.lists["FX1"]; !there {
		gusts, over = g.numbers(s, "FX3", nil), 3*time.Hour
	}
	for i, at := range g.steps {
		if at.IsZero() {
			f.rejects.add(i+1, "TimeStep", "is no time such as 2031-05-03T06:00:00Z")
			continue
		}
		if !math.IsInf(temperatures[i], 0) { // else it is rejected already
			f.step(i+1, at, kelvin(temperatures[i]))
		}
		f.span(at.Add(-12*time.Hour), at, kelvin(lows[i]), kelvin(highs[i]))
		f.winds.add(windReading{at: at, speed: speeds[i], gustMS: math.NaN()})
		f.winds.add(windReading{at: at, over: over, speed: math.NaN(), gustMS: gusts[i]})
	}
	return f, nil
}

func (g *mosmixFile) batch(opt Options) (Batch, error) {
	f, err := g.forecast()
	if err != nil {
		return Batch{}, err
	}
	b, err := f.batch(opt)
	if err != nil {
		return Batch{}, err
	}
	b.Station, b.Credit, b.Issued, b.Place = orText(opt.Station, g.chosen.name), mosmixCredit, g.issued, g.chosen.place()
	return b, nil
}

// numbers reads one list, as long as the steps; NaN is missing, an infinity
// was rejected. A list of another length is not used.
func (g *mosmixFile) numbers(s *mosmixStation, element string, f *forecastSteps) []float64 {
	out := make([]float64, len(g.steps))
	for i := range out {
		out[i] = math.NaN()
	}
	fields := strings.Fields(s.lists[element])
	if len(fields) != len(out) {
		if f != nil && len(fields) > 0 {
			f.rejects.add(1, element, fmt.Sprintf("%s has %d values for %d time steps: not used", element, len(fields), len(out)))
		}
		return out
	}
	for i, text := range fields {
		if text == g.missing {
			continue
		}
		v, ok := parseNumber(text, '.')
		if !ok && f != nil {
			f.rejects.add(i+1, element+" "+text, "is no number with a decimal point")
			v = math.Inf(1)
		}
		out[i] = v
	}
	return out
}

// kelvin converts to °C.
func kelvin(k float64) float64 { return hundredths(k - 273.15) }

// place reads "longitude,latitude,height".
func (s *mosmixStation) place() Place {
	p := nowhere()
	fields := strings.Split(s.coordinates, ",")
	for i, into := range []*float64{&p.LongitudeDeg, &p.LatitudeDeg, &p.AltitudeM} {
		if i >= len(fields) {
			break
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(fields[i]), 64)
		if err != nil || math.IsInf(v, 0) {
			return nowhere()
		}
		*into = v
	}
	return p
}
