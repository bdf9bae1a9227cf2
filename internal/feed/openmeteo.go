package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"budcall/internal/weather"
)

// openMeteo is the JSON of daily values served by Open-Meteo and by servers
// of its kind: arrays of equal length, units stated beside them, days of the
// zone that was asked for.
var openMeteo = Format{
	Name:  "open-meteo",
	Brief: "daily JSON in the style of Open-Meteo (archive or forecast), units read from the answer",
	Needs: []string{
		"daily temperature_2m_max and temperature_2m_min, or temperature_2m_mean, for one model",
		"timezone in the request: without it the days are UTC days",
		"location: which one, from 1, when the answer holds several",
	},
	parse: parseOpenMeteo,
}

const openMeteoCredit = "Weather data by Open-Meteo.com (https://open-meteo.com/), CC BY 4.0"

type openMeteoAnswer struct {
	Error      bool                       `json:"error"`
	Reason     string                     `json:"reason"`
	Latitude   *float64                   `json:"latitude"`
	Longitude  *float64                   `json:"longitude"`
	Elevation  *float64                   `json:"elevation"`
	Timezone   string                     `json:"timezone"`
	DailyUnits map[string]string          `json:"daily_units"`
	Daily      map[string]json.RawMessage `json:"daily"`
}

func parseOpenMeteo(body []byte, opt Options) (Batch, error) {
	answer, err := oneLocation(body, opt)
	if err != nil {
		return Batch{}, err
	}
	if answer.Error {
		return Batch{}, refuse("correct the request", "the server refuses: %s", shortenTo(300, answer.Reason))
	}
	var times []string
	if err := answer.column("time", &times); err != nil {
		return Batch{}, err
	}
	if unit := answer.DailyUnits["time"]; unit != "iso8601" {
		return Batch{}, refuse("ask with timeformat=iso8601", "daily_units.time is %q, not iso8601", unit)
	}
	values, err := answer.temperatures(len(times))
	if err != nil {
		return Batch{}, err
	}
	return answer.batch(times, values, opt), nil
}

// oneLocation reads an answer for one place, or the chosen one of several.
func oneLocation(body []byte, opt Options) (openMeteoAnswer, error) {
	var one openMeteoAnswer
	start := bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\xef\xbb\xbf")))
	if !bytes.HasPrefix(start, []byte("[")) {
		return one, decodeJSON(body, "Open-Meteo", &one)
	}
	var all []openMeteoAnswer
	if err := decodeJSON(body, "Open-Meteo", &all); err != nil {
		return one, err
	}
	chosen := opt.Location
	if chosen == 0 && len(all) == 1 {
		chosen = 1
	}
	if chosen < 1 || chosen > len(all) {
		return one, refuse(fmt.Sprintf("set location to a number from 1 to %d, or ask for one place", len(all)),
			"the answer holds %d locations and location is %d", len(all), opt.Location)
	}
	return all[chosen-1], nil
}

// column reads one array of daily.
func (a openMeteoAnswer) column(name string, into any) error {
	raw, there := a.Daily[name]
	if !there {
		return refuse("add daily="+name+" to the request", "the answer has no daily.%s", name)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		return refuse("fetch it again, or tell the source", "daily.%s can't be read: %s", name, shorten(err.Error()))
	}
	return nil
}

// temperatures reads minimum, maximum and mean in °C, each nil when it wasn't
// asked for.
func (a openMeteoAnswer) temperatures(days int) (values [3][]*float64, err error) {
	for i, name := range []string{"temperature_2m_min", "temperature_2m_max", "temperature_2m_mean"} {
		if _, there := a.Daily[name]; !there {
			continue
		}
		if err := a.column(name, &values[i]); err != nil {
			return values, err
		}
		if len(values[i]) != days {
			return values, refuse("fetch it again, or tell the source", "daily.%s has %d values for %d days", name, len(values[i]), days)
		}
		if err := a.toCelsius(name, values[i]); err != nil {
			return values, err
		}
	}
	if values[2] == nil && (values[0] == nil || values[1] == nil) {
		return values, a.noTemperatures()
	}
	return values, nil
}

func (a openMeteoAnswer) toCelsius(name string, values []*float64) error {
	switch unit := a.DailyUnits[name]; unit {
	case "°C":
	case "°F":
		for _, v := range values {
			if v != nil {
				*v = celsius(*v)
			}
		}
	default:
		return refuse("ask with temperature_unit=celsius", "daily_units.%s is %q, neither °C nor °F", name, unit)
	}
	return nil
}

// noTemperatures says why no series serves: another name, or several models.
func (a openMeteoAnswer) noTemperatures() error {
	var others []string
	for name := range a.Daily {
		if strings.HasPrefix(name, "temperature_2m_") {
			others = append(others, name)
		}
	}
	slices.Sort(others)
	if len(others) > 0 {
		return refuse("ask for one model with both temperature_2m_max and temperature_2m_min, or temperature_2m_mean",
			"the answer holds only %s", shorten(strings.Join(others, ", ")))
	}
	return refuse("add daily=temperature_2m_max,temperature_2m_min,temperature_2m_mean to the request", "the answer holds no daily temperature")
}

func (a openMeteoAnswer) batch(times []string, values [3][]*float64, opt Options) Batch {
	var c collector
	for i, text := range times {
		date, ok := parseDate("2006-01-02", text)
		if !ok {
			c.rejects.add(i+1, text, "is no date YYYY-MM-DD")
			continue
		}
		d := weather.Missing(date)
		for e, into := range []*float64{&d.MinC, &d.MaxC, &d.MeanC} {
			switch {
			case values[e] == nil:
			case values[e][i] == nil:
				c.missing++
			default:
				*into = *values[e][i]
			}
		}
		c.day(i+1, text, d)
	}
	return Batch{
		Station: opt.Station, Days: c.sorted(),
		Rejects: c.rejects.listed, MoreRejects: c.rejects.more, MissingValues: c.missing,
		Window: naturalDay(a.Timezone), Credit: openMeteoCredit,
		Place: Place{LatitudeDeg: said(a.Latitude), LongitudeDeg: said(a.Longitude), AltitudeM: said(a.Elevation)},
	}
}

// said is the value, or NaN where the answer is silent.
func said(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
