package feed

import (
	"encoding/json"
	"math"
	"strings"
	"time"
)

// smhiAnswer is SMHI's data.json; its catalogue has the same outer names, but
// no values.
type smhiAnswer struct {
	Key       string          `json:"key"`
	Title     string          `json:"title"`
	Link      json.RawMessage `json:"link"`
	Value     json.RawMessage `json:"value"`
	Parameter *struct {
		Name    string `json:"name"`
		Summary string `json:"summary"`
		Unit    string `json:"unit"`
	} `json:"parameter"`
	Station struct {
		Key json.RawMessage `json:"key"`
	} `json:"station"`
	Position json.RawMessage `json:"position"`
}

type smhiValue struct {
	From, To, Date *int64 // milliseconds since 1970
	Ref            string
	Value          json.RawMessage // a number, or one in quotes
	Quality        string
}

func parseSMHIJSON(body []byte, opt Options) (Batch, error) {
	var a smhiAnswer
	if err := decodeJSON(body, "SMHI", &a); err != nil {
		return Batch{}, err
	}
	if a.Parameter == nil {
		if a.Title != "" || a.Key != "" {
			return Batch{}, refuse("use its data.csv or data.json", "this is SMHI's catalogue (%s), no data", shorten(orText(a.Title, a.Key)))
		}
		return Batch{}, refuse("use the file data.json of one parameter and station", "this JSON holds no parameter: it is no SMHI data")
	}
	series, err := smhiParameter(a.Parameter.Name, a.Parameter.Summary, a.Parameter.Unit)
	if err != nil {
		return Batch{}, err
	}
	file := smhiFile{station: strings.Trim(string(a.Station.Key), `"`), place: a.place(), series: []smhiSeries{series}}
	if err := file.check(); err != nil {
		return Batch{}, err
	}
	var g smhiValues
	err = eachJSON(a.Value, "SMHI", "value", func(i int, v *smhiValue) error {
		g.entry(i, v, series)
		return nil
	})
	if err != nil {
		return Batch{}, err
	}
	return g.batch(file, opt)
}

// entry takes one value of the list.
func (g *smhiValues) entry(i int, e *smhiValue, s smhiSeries) {
	text := strings.Trim(string(e.Value), `" `)
	v, ok := math.NaN(), true
	if text != "" && text != "null" {
		v, ok = parseNumber(text, '.')
	}
	if !ok {
		g.rejects.add(i, text, "is no number with a decimal point")
	}
	if !ok || !math.IsNaN(v) && !g.quality(i, text, e.Quality) {
		if date, named := parseDate("2006-01-02", e.Ref); named && s.daily {
			g.named(i, date)
		}
		return
	}
	if !s.daily {
		if at, ok := fromMillis(e.Date); ok {
			g.moment(i, at, s, v)
			return
		}
		g.rejects.add(i, text, "the value has no date in milliseconds since 1970")
		return
	}
	from, okFrom := fromMillis(e.From)
	to, okTo := fromMillis(e.To)
	date, okRef := parseDate("2006-01-02", e.Ref)
	if !okFrom || !okTo || !okRef {
		g.rejects.add(i, text, "the value lacks from, to or ref")
		return
	}
	g.span(i, e.Ref+" "+text, from, to, date, s, v)
}

func fromMillis(ms *int64) (time.Time, bool) {
	if ms == nil {
		return time.Time{}, false
	}
	at, ok := fromEpoch(floorDiv(*ms, 1000))
	return at, ok
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// place is the newest position.
func (a smhiAnswer) place() Place {
	place, latest := nowhere(), int64(math.MinInt64)
	type position struct {
		To                          int64
		Height, Latitude, Longitude *float64
	}
	// A position that can't be read leaves the place unsaid.
	_ = eachJSON(a.Position, "SMHI", "position", func(_ int, p *position) error {
		if p.To > latest {
			latest = p.To
			place = Place{LatitudeDeg: said(p.Latitude), LongitudeDeg: said(p.Longitude), AltitudeM: said(p.Height)}
		}
		return nil
	})
	return place
}
