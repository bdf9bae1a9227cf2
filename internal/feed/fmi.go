package feed

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// fmi is an answer of the Finnish Meteorological Institute's open-data WFS 2.0
// in any of its three encodings: simple features, timevaluepair (WaterML 2)
// and multipointcoverage (layout: FMI's manual and stored queries, and recorded
// answers). The root element decides what an answer is, not its HTTP status:
// an ExceptionReport, an empty collection and a list of stations or parameters
// are refused by name.
//
// Daily: tday, tmin, tmax. Hourly: TA_PT1H_AVG, _MAX, _MIN, of the hour that
// ends at the stamp. Moments: t2m, Temperature (observed or forecast). Every
// other element is counted, and an answer without temperature is refused by
// what it holds. TG_PT12H_min is a temperature at the ground, not of the air.
//
// Missing: NaN alone. -1 means "none" for rrday, snow, r_1h and snow_aws only:
// of tday it is a temperature. Units: °C, m/s. There are no quality flags.
//
// Day: the stamp is the date at 00 UTC. tmin and tmax are of 18–18 UTC, ending
// on that date; tday is made by a formula from synoptic hours, not the mean of
// 24 hours. Finer answers are in UTC and their days are those asked for.
var fmi = Format{
	Name:  "fmi",
	Brief: "Finnish Meteorological Institute WFS XML (simple, timevaluepair, multipointcoverage): daily, hourly, 10-minute, forecast",
	Needs: []string{
		"station: the fmisid, or \"lat,lon\" as the answer has them, when it holds several places",
		"window or zone: which hours are a day, for what is finer than a day",
	},
	Finer: true,
	parse: parseFMI,
}

const fmiCredit = "Finnish Meteorological Institute (https://en.ilmatieteenlaitos.fi/open-data), CC BY 4.0"

var fmiSpaces = map[string]string{
	"www.opengis.net/wfs/2.0":                         "wfs",
	"www.opengis.net/ows/1.1":                         "ows",
	"www.opengis.net/gml/3.2":                         "gml",
	"www.opengis.net/gmlcov/1.0":                      "gmlcov",
	"www.opengis.net/swe/2.0":                         "swe",
	"www.opengis.net/om/2.0":                          "om",
	"www.opengis.net/waterml/2.0":                     "wml2",
	"xml.fmi.fi/schema/wfs/2.0":                       "BsWfs",
	"xml.fmi.fi/namespace/om/atmosphericfeatures/1.1": "target",
	"inspire.ec.europa.eu/schemas/ef/4.0":             "ef",
	"inspire.ec.europa.eu/schemas/omop/2.9":           "omop",
	"xml.fmi.fi/namespace/om/atmosphericfeatures/1.0": "target",
	"inspire.ec.europa.eu/schemas/omso/3.0":           "omso",
	"inspire.ec.europa.eu/schemas/omso/2.0":           "omso",
	"www.opengis.net/samplingSpatial/2.0":             "sams",
	"www.opengis.net/sampling/2.0":                    "sam",
}

func parseFMI(in *input, opt Options) (Batch, error) {
	x := openXML(in, "FMI", fmiSpaces)
	g := fmiAnswer{x: x, places: fmiPlaces{wanted: opt.Station}, found: map[string]int{}}
	for e := x.next(); e != xmlOver; e = x.next() {
		if err := g.take(e); err != nil {
			return Batch{}, err
		}
	}
	if x.err != nil {
		return Batch{}, x.err
	}
	return g.batch(opt)
}

// fmiAnswer is an answer while it is read.
type fmiAnswer struct {
	x         *xmlReader
	places    fmiPlaces
	values    fmiValues
	found     map[string]int // how often each parameter that isn't taken stands there
	members   int
	announced string // numberReturned

	parameter, at, pos string // of the value that is being read
	line               int
	coverage           fmiCoverage
	forecast, result   bool // observableProperty=forecast; within om:resultTime
	issued             time.Time
}

// take takes one begin or end of an element.
func (g *fmiAnswer) take(e xmlEvent) error {
	if e == xmlBegin {
		return g.begin()
	}
	switch g.x.name {
	case "BsWfs:Time", "wml2:time":
		g.at, g.line = g.x.content(), g.x.line()
	case "BsWfs:ParameterName":
		g.parameter = g.x.content()
	case "gml:pos":
		g.pos = g.x.content()
		g.places.point(g.pos)
	case "gml:identifier", "gml:name":
		g.places.text(g.x.content())
	case "om:resultTime":
		g.result = false
	case "gml:timePosition":
		if t, ok := timestamp(g.x.content()); ok && g.result {
			g.issued = t
		}
	case "BsWfs:ParameterValue", "wml2:value":
		t, ok := timestamp(g.at)
		if !ok {
			g.values.rejects.add(g.x.line(), g.at, "is no time such as 2031-05-03T00:00:00Z")
			return nil
		}
		g.value(fmiValue{line: g.x.line(), at: t, parameter: g.parameter, text: g.x.content(), place: placeKey(g.pos)})
	case "gmlcov:positions":
		g.coverage.positions = g.x.content()
	case "gml:doubleOrNilReasonTupleList":
		g.coverage.values = g.x.content()
	case "gmlcov:MultiPointCoverage":
		return g.spread()
	}
	return nil
}

func (g *fmiAnswer) begin() error {
	x := g.x
	switch x.name {
	case "wfs:FeatureCollection":
		g.announced = x.attr("numberReturned")
	case "ows:ExceptionReport":
		return fmiException(x)
	case "ef:EnvironmentalMonitoringFacility":
		return refuse("read it as fmi-stations, or ask for observations", "this is FMI's list of stations")
	case "omop:CompositeObservableProperty", "omop:ObservableProperty":
		return refuse("ask the WFS for observations", "this is FMI's description of parameters (%s), no data", x.name)
	case "wfs:member":
		g.members++
		g.parameter, g.at, g.pos = "", "", ""
		g.coverage = fmiCoverage{}
	case "gml:identifier", "gml:name":
		g.places.naming = x.attr("codeSpace")
	case "target:Location":
		g.places.location = fmiPlace{}
	case "target:representativePoint":
		g.places.link(x.attr("href"))
	case "gml:Point":
		g.places.pointID = x.attr("id")
	case "om:observedProperty":
		g.forecast = strings.Contains(x.attr("href"), "observableProperty=forecast")
	case "om:resultTime":
		g.result = true
	case "wml2:MeasurementTimeseries":
		// The parameter ends the id: obs-obs-1-1-t2m.
		id := x.attr("id")
		g.parameter = id[strings.LastIndexByte(id, '-')+1:]
	case "gmlcov:MultiPointCoverage":
		g.coverage = fmiCoverage{}
	case "swe:field":
		g.coverage.fields = append(g.coverage.fields, x.attr("name"))
	default:
		if x.depth == 1 {
			return refuse("look whether this is the right address", "this XML is a %s, no FMI answer", shorten(x.name))
		}
	}
	return nil
}

// value takes one value if it is of a parameter that counts and of the place
// that is wanted.
func (g *fmiAnswer) value(v fmiValue) {
	kind, known := fmiParameters[strings.ToLower(v.parameter)]
	if !known {
		if _, there := g.found[v.parameter]; there || len(g.found) < 100 {
			g.found[strings.Clone(v.parameter)]++
		}
		g.values.others++
		return
	}
	if g.places.is(v.place, &g.values) {
		g.values.take(v, kind)
	}
}

// fmiException reads the codes and the first text of an exception report.
func fmiException(x *xmlReader) error {
	code, text := "", ""
	for e := x.next(); e != xmlOver; e = x.next() {
		switch {
		case e == xmlBegin && x.name == "ows:Exception" && code == "":
			code = x.attr("exceptionCode")
		case e == xmlEnd && x.name == "ows:ExceptionText" && text == "":
			text = x.content()
		}
	}
	if x.err != nil {
		return x.err
	}
	return refuse("correct the request", "FMI answers with an exception, %s: %s", shorten(code), shortenTo(300, text))
}

// batch settles what was read.
func (g *fmiAnswer) batch(opt Options) (Batch, error) {
	v := &g.values
	if g.members == 0 {
		return Batch{}, refuseEmpty("look whether the station's number is right, and whether it measures in the time asked for", "FMI's answer is empty (numberReturned %s): the station is unknown or has no data", shorten(g.announced))
	}
	place, err := g.places.settle()
	if err != nil {
		return Batch{}, err
	}
	if v.kinds == 0 {
		if len(v.rejects.listed) > 0 {
			return Batch{}, v.rejects.nothingRead("fetch it again, or tell the source")
		}
		if len(g.found) == 0 {
			return Batch{}, refuse("ask for the simple, timevaluepair or multipointcoverage form", "the answer's %d members hold no values in an encoding that is known here", g.members)
		}
		return Batch{}, noTemperature(sortedKeys(g.found), fmiOther, "tday, tmin and tmax, or TA_PT1H_AVG, or t2m")
	}
	if v.kinds != fmiDaily && v.kinds != fmiHourly && v.kinds != fmiMoment {
		return Batch{}, refuse("ask for one of them", "the answer holds temperatures of different kinds: %s", strings.Join(v.kinds.words(), ", "))
	}
	if n, err := strconv.Atoi(g.announced); err == nil && n != g.members {
		v.notes = append(v.notes, fmt.Sprintf("the answer announces %d members and holds %d", n, g.members))
	}
	b := v.settle(opt)
	b.Station, b.Credit, b.Place = orText(opt.Station, place.fmisid), fmiCredit, place.place()
	if g.forecast {
		b.Issued = g.issued
	}
	return b, nil
}

func orText(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// place gives the coordinates; FMI's answers hold no altitude.
func (p fmiPlace) place() Place {
	at := nowhere()
	lat, lon, ok := strings.Cut(p.key, ",")
	if !ok {
		return at
	}
	var err1, err2 error
	at.LatitudeDeg, err1 = strconv.ParseFloat(lat, 64)
	at.LongitudeDeg, err2 = strconv.ParseFloat(lon, 64)
	if err1 != nil || err2 != nil {
		return nowhere()
	}
	at.AltitudeM = math.NaN()
	return at
}
