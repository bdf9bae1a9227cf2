package feed

import (
	"encoding/json"
	"math"
)

// smhiForecast is SMHI's point forecast snow1g version 1 (layout: a recorded
// answer): steps of 1 h, later 2, 6 and 12 h, over about ten days, at the grid
// point near the place asked for. Its forerunner pmp3g version 2, switched off
// on 2026-03-31, is refused by name.
//
// Missing: the field is absent, or its value is beyond ±90 (9999 is "none"
// for other fields). Units: the answer states none; SMHI's are °C and m/s.
// There are no quality flags.
//
// Day: made of the steps for the zone or window asked for, the mean weighted by
// time. Days with steps over 3 h get no extremes, for none can be read off
// them; steps of 12 h make no day.
var smhiForecast = Format{
	Name:  "smhi-forecast",
	Brief: "SMHI point forecast JSON (snow1g version 1): a forecast of about ten days",
	Needs: []string{"zone: the site's time zone, whose days are made of the steps; or a window"},
	Finer: true,
	parse: whole(parseSMHIForecast),
}

type smhiForecastAnswer struct {
	CreatedTime   string `json:"createdTime"`
	ApprovedTime  string `json:"approvedTime"`
	ReferenceTime string `json:"referenceTime"`
	Geometry      struct {
		Coordinates json.RawMessage `json:"coordinates"` // longitude, latitude; nested once more in pmp3g
	} `json:"geometry"`
	TimeSeries json.RawMessage `json:"timeSeries"`
}

type smhiForecastStep struct {
	Time       string          `json:"time"`
	ValidTime  string          `json:"validTime"`  // pmp3g
	Parameters json.RawMessage `json:"parameters"` // pmp3g
	Data       struct {
		Temperature *float64 `json:"air_temperature"`
		WindSpeed   *float64 `json:"wind_speed"`
		WindGust    *float64 `json:"wind_speed_of_gust"`
	} `json:"data"`
}

func parseSMHIForecast(body []byte, opt Options) (Batch, error) {
	if opt.Zone == nil && !opt.Window.Stated() && !opt.ReadingsOnly {
		return Batch{}, refuse("set zone, for example Europe/Stockholm", "a forecast in steps needs the zone whose days are wanted")
	}
	var answer smhiForecastAnswer
	if err := decodeJSON(body, "SMHI forecast", &answer); err != nil {
		return Batch{}, err
	}
	f := forecastSteps{closeExtremes: true}
	temperatures := 0
	err := eachJSON(answer.TimeSeries, "SMHI forecast", "timeSeries", func(number int, s *smhiForecastStep) error {
		if s.ValidTime != "" || len(s.Parameters) > 0 {
			return refuse("use snow1g version 1: /api/category/snow1g/version/1/geotype/point/lon/…/lat/…/data.json",
				"this is SMHI's forecast pmp3g version 2, which was switched off on 2026-03-31")
		}
		if s.Data.Temperature != nil {
			temperatures++
		}
		f.takeSMHI(number, s)
		return nil
	})
	switch {
	case err != nil:
		return Batch{}, err
	case temperatures == 0:
		return Batch{}, refuse("use snow1g version 1, with every parameter", "the answer holds no timeSeries with data.air_temperature")
	}
	b, err := f.batch(opt)
	if err != nil {
		return Batch{}, err
	}
	b.Credit, b.Place = smhiCredit, answer.place()
	if issued, ok := timestamp(answer.CreatedTime); ok {
		b.Issued = issued
	}
	return b, nil
}

func (f *forecastSteps) takeSMHI(number int, s *smhiForecastStep) {
	at, ok := timestamp(s.Time)
	if !ok {
		f.rejects.add(number, s.Time, "is no time such as 2031-05-03T06:00:00Z")
		return
	}
	tempC := said(s.Data.Temperature)
	if math.Abs(tempC) > hottestC {
		tempC = math.NaN()
	}
	f.step(number, at, tempC)
	f.winds.add(windReading{at: at, speed: said(s.Data.WindSpeed), gustMS: said(s.Data.WindGust)})
}

func (a smhiForecastAnswer) place() Place {
	p := nowhere()
	var at []float64
	if json.Unmarshal(a.Geometry.Coordinates, &at) == nil && len(at) >= 2 {
		p.LongitudeDeg, p.LatitudeDeg = at[0], at[1]
	}
	return p
}
