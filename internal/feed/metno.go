package feed

import (
	"fmt"
	"time"

	"budcall/internal/civil"
)

// metno is MET Norway's Locationforecast 2.0, compact or complete: a GeoJSON
// feature with hourly and later six-hourly steps.
var metno = Format{
	Name:  "metno",
	Brief: "MET Norway Locationforecast JSON (compact or complete): a forecast of about ten days",
	Needs: []string{"zone: the site's time zone, whose days are made of the steps"},
	parse: parseMetno,
}

const metnoCredit = "Data from MET Norway (https://api.met.no/), NLOD 2.0 / CC BY 4.0"

// longestForecastDays bounds the time that steps may span; Locationforecast
// reaches about ten days.
const longestForecastDays = 60

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
		Timeseries []metnoStep `json:"timeseries"`
	} `json:"properties"`
}

type metnoStep struct {
	Time string `json:"time"`
	Data struct {
		Instant struct {
			Details struct {
				Temperature *float64 `json:"air_temperature"`
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
	if opt.Zone == nil {
		return Batch{}, refuse("set zone, for example Europe/Helsinki", "a forecast in steps needs the zone whose days are wanted")
	}
	var answer metnoAnswer
	if err := decodeJSON(body, "Locationforecast", &answer); err != nil {
		return Batch{}, err
	}
	if err := answer.check(); err != nil {
		return Batch{}, err
	}
	var rejects rejectList
	steps, missing := answer.steps(&rejects)
	if len(steps) < 2 {
		return Batch{}, rejects.nothingRead("fetch it again, or tell the source")
	}
	first, last := civil.At(steps[0].at.In(opt.Zone)), civil.At(steps[len(steps)-1].at.In(opt.Zone))
	if last-first > longestForecastDays {
		return Batch{}, refuse("look whether this is the right address", "the steps run from %s to %s: that is no forecast", first, last)
	}
	b := Batch{
		Station: opt.Station, MissingValues: missing,
		Window: naturalDay(opt.Zone.String()), Credit: metnoCredit, Place: answer.place(),
	}
	b.Issued, _ = time.Parse(time.RFC3339, answer.Properties.Meta.UpdatedAt) // zero when not said
	for date := first; date <= last; date++ {
		day, coverage := steps.day(date, opt.Zone)
		switch reason := fmt.Sprintf("%.0f %% of the day is covered, %.0f %% are needed", coverage*100, leastCoverage*100); {
		case coverage >= leastCoverage:
			b.Days = append(b.Days, day)
		case date == first || date == last:
			b.Partial = append(b.Partial, Reject{Line: steps.lineOf(date, opt.Zone), Text: date.String(), Reason: reason})
		default:
			rejects.add(steps.lineOf(date, opt.Zone), date.String(), reason)
		}
	}
	b.Rejects, b.MoreRejects = rejects.listed, rejects.more
	return b, nil
}

// check refuses what is no Locationforecast, or one in another unit.
func (a metnoAnswer) check() error {
	if a.Type != "Feature" || len(a.Properties.Timeseries) == 0 {
		return refuse("use the address of Locationforecast 2.0 compact or complete", "the answer holds no properties.timeseries of a GeoJSON Feature")
	}
	for _, name := range []string{"air_temperature", "air_temperature_max", "air_temperature_min"} {
		unit, said := a.Properties.Meta.Units[name]
		if (said || name == "air_temperature") && unit != "celsius" {
			return refuse("tell the source", "meta.units.%s is %q, not celsius", name, unit)
		}
	}
	return nil
}

// steps gives the steps that hold a temperature, in order of time.
func (a metnoAnswer) steps(rejects *rejectList) (steps forecastSteps, missing int) {
	for i, s := range a.Properties.Timeseries {
		at, err := time.Parse(time.RFC3339, s.Time)
		temperature := s.Data.Instant.Details.Temperature
		switch {
		case err != nil:
			rejects.add(i+1, s.Time, "is no time such as 2031-05-03T06:00:00Z")
		case temperature == nil:
			missing++
		case len(steps) > 0 && !at.After(steps[len(steps)-1].at):
			rejects.add(i+1, s.Time, "is not later than the step before")
		default:
			next := s.Data.Next6.Details
			steps = append(steps, forecastStep{line: i + 1, at: at, tempC: *temperature, max6C: said(next.Max), min6C: said(next.Min)})
		}
	}
	return steps, missing
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
