package feed

import (
	"encoding/json"
	"time"
)

// metno is MET Norway's Locationforecast 2.0, compact or complete: a GeoJSON
// feature with hourly and later six-hourly steps (layout: MET Norway's schema
// and recorded answers).
//
// Missing: the field is absent, which any field may be. Units: meta.units must
// say celsius; wind is taken where it says m/s. There are no quality flags.
//
// Day: made of the steps for the zone or window asked for. The mean is weighted
// by time. The extremes are those of the steps, widened by the six-hour
// extremes of the complete flavour; without them they are too narrow once the
// steps are six hours long, and a note says so.
var metno = Format{
	Name:  "metno",
	Brief: "MET Norway Locationforecast JSON (compact or complete): a forecast of about ten days",
	Needs: []string{"zone: the site's time zone, whose days are made of the steps; or a window"},
	Finer: true,
	parse: whole(parseMetno),
}

const metnoCredit = "Data from MET Norway (https://api.met.no/), NLOD 2.0 / CC BY 4.0"

type metnoAnswer struct {
	Type     string `json:"type"`
	Geometry struct {
		Coordinates []float64 `json:"coordinates"` // longitude, latitude, altitude
	} `json:"geometry"`
	Properties struct {
		Meta struct {
			UpdatedAt string            `json:"updated_at"`
			Units     map[string]string `json:"units"`
		} `json:"meta"`
		Timeseries json.RawMessage `json:"timeseries"`
	} `json:"properties"`
}

type metnoStep struct {
	Time string `json:"time"`
	Data struct {
		Instant struct {
			Details struct {
				Temperature *float64 `json:"air_temperature"`
				WindSpeed   *float64 `json:"wind_speed"`
				WindGust    *float64 `json:"wind_speed_of_gust"`
			} `json:"details"`
		} `json:"instant"`
		Next6 struct {
			Details struct {
				Max *float64 `json:"air_temperature_max"`
				Min *float64 `json:"air_temperature_min"`
			} `json:"details"`
		} `json:"next_6_hours"`
	} `json:"data"`
}

func parseMetno(body []byte, opt Options) (Batch, error) {
	if opt.Zone == nil && !opt.Window.Stated() && !opt.ReadingsOnly {
		return Batch{}, refuse("set zone, for example Europe/Helsinki", "a forecast in steps needs the zone whose days are wanted")
	}
	var answer metnoAnswer
	if err := decodeJSON(body, "Locationforecast", &answer); err != nil {
		return Batch{}, err
	}
	if err := answer.check(); err != nil {
		return Batch{}, err
	}
	var f forecastSteps
	if err := answer.steps(&f); err != nil {
		return Batch{}, err
	}
	b, err := f.batch(opt)
	if err != nil {
		return Batch{}, err
	}
	b.Credit, b.Place = metnoCredit, answer.place()
	if issued, ok := timestamp(answer.Properties.Meta.UpdatedAt); ok {
		b.Issued = issued
	}
	if len(f.spans) == 0 && f.hasWideSteps() && !opt.ReadingsOnly {
		b.Notes = append(b.Notes, "where the steps are six hours apart the extremes are those of the steps, which are too narrow: the complete flavour holds better ones")
	}
	return b, nil
}

func (f *forecastSteps) hasWideSteps() bool {
	for i := 1; i < len(f.steps); i++ {
		if f.steps[i].at.Sub(f.steps[i-1].at) > closeStep {
			return true
		}
	}
	return false
}

// check refuses what is no Locationforecast, or one in another unit.
func (a metnoAnswer) check() error {
	if series := a.Properties.Timeseries; a.Type != "Feature" || len(series) <= len("[]") || string(series) == "null" {
		return refuse("use the address of Locationforecast 2.0 compact or complete", "the answer holds no properties.timeseries of a GeoJSON Feature")
	}
	for _, name := range []string{"air_temperature", "air_temperature_max", "air_temperature_min"} {
		unit, said := a.Properties.Meta.Units[name]
		if (said || name == "air_temperature") && unit != "celsius" {
			return refuse("tell the source", "meta.units.%s is %q, not celsius", name, shorten(unit))
		}
	}
	return nil
}

// steps reads the steps that hold a temperature.
func (a metnoAnswer) steps(f *forecastSteps) error {
	units := a.Properties.Meta.Units
	return eachJSON(a.Properties.Timeseries, "Locationforecast", "timeseries", func(number int, s *metnoStep) error {
		at, ok := timestamp(s.Time)
		if !ok {
			f.rejects.add(number, s.Time, "is no time such as 2031-05-03T06:00:00Z")
			return nil
		}
		now, next := s.Data.Instant.Details, s.Data.Next6.Details
		before := len(f.steps)
		f.step(number, at, said(now.Temperature))
		if len(f.steps) > before {
			f.span(at, at.Add(6*time.Hour), said(next.Min), said(next.Max))
		}
		w := windReading{at: at, speed: said(nil), gustMS: said(nil)}
		if units["wind_speed"] == "m/s" {
			w.speed = said(now.WindSpeed)
		}
		if units["wind_speed_of_gust"] == "m/s" {
			w.gustMS = said(now.WindGust)
		}
		f.winds.add(w)
		return nil
	})
}

func (a metnoAnswer) place() Place {
	p := nowhere()
	for i, into := range []*float64{&p.LongitudeDeg, &p.LatitudeDeg, &p.AltitudeM} {
		if i < len(a.Geometry.Coordinates) {
			*into = a.Geometry.Coordinates[i]
		}
	}
	return p
}
