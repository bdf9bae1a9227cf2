package feed

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// frost is observations of MET Norway's Frost API v0 (layout: MET Norway's
// documentation, and recorded answers for precipitation and sources). Daily:
// max, min and mean(air_temperature P1D). Moments: air_temperature. The same
// element comes once a series, so one series is chosen: the preferred time
// offset (PT18H for extremes, PT0H for means; with a window, the one that ends
// as it does), then the lowest timeSeriesId, then the lowest sensor; the values
// of others are counted. An answer with two offsets of which none is preferred
// is refused, and so are errors, source lists and the v1 beta.
//
// Missing: the item is absent, or its value null. Units: degC, m/s; another is
// rejected. Quality, one digit: 0 to 4 are used, 5 (slightly suspicious), 6
// (highly suspicious) and 7 (certainly wrong) are not; the meanings are from
// memory. The code may be absent, which is used. Each is counted.
//
// Day: the date of referenceTime, which is at 00 UTC. Offset PT0H is 00–24 UTC
// of that date; PT18H is sampled from 19 to 18 UTC, ending on that date; the
// others likewise.
//
// Paging: a zip of the pages of one answer is read as the whole; where pages
// are wanting, a note says so. NextPage gives where the next one is.
var frost = Format{
	Name:  "frost",
	Brief: "MET Norway Frost v0 observations JSON: daily air temperature (P1D), or readings",
	Needs: []string{
		"station: such as SN18700, when the answer holds several sources",
		"window: which offset is wanted where several serve, or which hours are a day, for readings",
	},
	Finer: true,
	parse: whole(parseFrost), zipped: parseFrostPages,
}

const frostCredit = "MET Norway, Frost (https://frost.met.no/), CC BY 4.0"

// frostEnvelope is what every answer begins with.
type frostEnvelope struct {
	Type         string          `json:"@type"`
	ItemCount    int             `json:"currentItemCount"`
	Offset       int             `json:"offset"`
	TotalCount   int             `json:"totalItemCount"`
	NextLink     string          `json:"nextLink"`
	TimeSeriesV1 json.RawMessage `json:"tseries"`
	Error        struct {
		Code                  int
		Message, Reason, Help string
	} `json:"error"`
	Data json.RawMessage `json:"data"`
}

type frostItem struct {
	SourceID      string             `json:"sourceId"`
	ReferenceTime string             `json:"referenceTime"`
	Observations  []frostObservation `json:"observations"`
}

type frostObservation struct {
	ElementID      string          `json:"elementId"`
	Value          json.RawMessage `json:"value"`
	Unit           string          `json:"unit"`
	TimeOffset     string          `json:"timeOffset"`
	TimeResolution string          `json:"timeResolution"`
	TimeSeriesID   int             `json:"timeSeriesId"`
	QualityCode    *int            `json:"qualityCode"`
}

// openFrost reads the envelope and refuses what isn't an answer of the wanted
// kind.
func openFrost(body []byte, wanted string) (frostEnvelope, error) {
	var e frostEnvelope
	if err := decodeJSON(body, "Frost", &e); err != nil {
		return e, err
	}
	switch {
	case e.Type == "ErrorResponse":
		text := fmt.Sprintf("Frost answers %d: %s: %s", e.Error.Code, shorten(e.Error.Message), shorten(e.Error.Reason))
		switch e.Error.Code {
		case 404, 412:
			return e, refuseEmpty("look whether the station measures the element in the time asked for", "%s", text)
		case 401, 403:
			return e, refuse("look whether the client id is right", "%s", text)
		}
		return e, refuse(orText(shorten(e.Error.Help), "correct the request"), "%s", text)
	case len(e.TimeSeriesV1) > 0, len(e.Data) > 0 && e.Data[0] == '{':
		return e, refuse("use https://frost.met.no/observations/v0.jsonld", "this is Frost's v1 (beta), which has another layout")
	case e.Type == "SourceResponse" && wanted != e.Type:
		return e, refuse("read it as frost-stations, or ask for observations", "this is Frost's list of sources")
	case e.Type != wanted:
		return e, refuse("use https://frost.met.no/observations/v0.jsonld", "this JSON is of type %q, not %s", shorten(e.Type), wanted)
	}
	return e, nil
}

func parseFrost(body []byte, opt Options) (Batch, error) {
	g := frostFile{station: frostStation{wanted: opt.Station}}
	p, err := g.page(body)
	if err != nil {
		return Batch{}, err
	}
	return g.pages([]frostEnvelope{p}, opt)
}

// frostElement is what an element's values are.
type frostElement struct {
	daily, wind bool
	element     int // of the temperature; of daily wind: 0 mean, 1 highest mean, 2 gust
	gust        bool
	over        time.Duration
}

var frostElements = map[string]frostElement{
	"min(air_temperature P1D)":      {daily: true, element: elementMin},
	"max(air_temperature P1D)":      {daily: true, element: elementMax},
	"mean(air_temperature P1D)":     {daily: true, element: elementMean},
	"air_temperature":               {element: elementMean},
	"mean(wind_speed P1D)":          {daily: true, wind: true, element: 0},
	"max(wind_speed P1D)":           {daily: true, wind: true, element: 1},
	"max(wind_speed_of_gust P1D)":   {daily: true, wind: true, element: 2},
	"wind_speed":                    {wind: true},
	"max(wind_speed_of_gust PT1H)":  {wind: true, gust: true, over: time.Hour},
	"max(wind_speed_of_gust PT10M)": {wind: true, gust: true, over: 10 * time.Minute},
}

// frostValue is one observation that may be used.
type frostValue struct {
	item    int
	source  string
	at      time.Time
	name    string
	offsetH int
	series  int
	v       float64
	text    string
	quality string // its code, empty where there is none
	doubted bool   // by its quality: it counts for the choice of a series, but isn't used
}

// item takes what stands under one source and time.
func (g *frostFile) item(number int, it *frostItem) {
	at, ok := timestamp(it.ReferenceTime)
	if !ok {
		g.rejects.add(number, it.ReferenceTime, "the referenceTime is no time such as 2031-05-03T00:00:00Z")
		return
	}
	for i := range it.Observations {
		o := &it.Observations[i]
		kind, known := frostElements[o.ElementID]
		if !known {
			g.others++
			g.found.add(o.ElementID)
			continue
		}
		v := frostValue{item: number, source: strings.Clone(it.SourceID), at: at.UTC(), name: o.ElementID, series: o.TimeSeriesID, text: o.ElementID + " " + string(o.Value)}
		if reason := v.read(o, kind); reason != "" {
			if !kind.wind {
				g.rejects.add(number, v.text, reason)
			}
			if !v.doubted {
				continue
			}
			v.v = math.NaN()
		}
		g.values = append(g.values, v)
	}
}

var frostOffsetForm = regexp.MustCompile(`^PT([0-9]{1,2})H$`)

// read checks everything of an observation but its quality; reason says why it
// can't be used.
func (v *frostValue) read(o *frostObservation, kind frostElement) (reason string) {
	unit := "degC"
	if kind.wind {
		unit = "m/s"
	}
	if o.Unit != unit {
		return fmt.Sprintf("the unit is %q, not %s", shorten(o.Unit), unit)
	}
	if kind.daily {
		m := frostOffsetForm.FindStringSubmatch(o.TimeOffset)
		if m == nil {
			return fmt.Sprintf("the timeOffset %q is no whole hours such as PT18H", shorten(o.TimeOffset))
		}
		v.offsetH, _ = strconv.Atoi(m[1]) // digits, by the form
		_, midnight := midnightUTC(v.at)
		switch {
		case v.offsetH > 23:
			return fmt.Sprintf("the timeOffset %s is more than a day", o.TimeOffset)
		case o.TimeResolution != "" && o.TimeResolution != "P1D":
			return fmt.Sprintf("the timeResolution is %s, not P1D", shorten(o.TimeResolution))
		case !midnight:
			return fmt.Sprintf("the referenceTime of a day isn't at 00 UTC but %s", v.at.Format(time.RFC3339))
		}
	}
	v.v = math.NaN()
	if text := string(o.Value); text != "" && text != "null" {
		var ok bool
		if v.v, ok = parseNumber(text, '.'); !ok {
			return "is no number"
		}
	}
	if q := o.QualityCode; q != nil {
		v.quality = strconv.Itoa(*q)
		v.text += " quality " + v.quality
		reason = judgeFrost(*q)
		v.doubted = reason != ""
		return reason
	}
	return ""
}

// judgeFrost says why a value of that quality isn't used.
func judgeFrost(quality int) (reason string) {
	switch {
	case quality < 0 || quality > 7:
		return fmt.Sprintf("the qualityCode is %d, not 0 to 7", quality)
	case quality >= 5:
		return fmt.Sprintf("MET Norway doubts it (qualityCode %d)", quality)
	}
	return ""
}
