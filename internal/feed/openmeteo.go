package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
)

// openMeteo is the JSON served by Open-Meteo and by servers of its kind, daily
// or hourly, for one place or a list of them: arrays of equal length, their
// units beside them (layout: recorded answers and the service's documentation).
// Daily: temperature_2m_max, _min, _mean. Hourly: temperature_2m, of moments.
// Wind at 10 m: the highest mean and gust of a day, or of hours. Answers with
// errors, for several models, and with members of an ensemble are refused.
//
// Missing: null, and the bare nan that some servers of its kind write. Units:
// °C or °F as the answer states; wind in km/h, m/s, mph or kn, else it is left
// out. There are no quality flags.
//
// Day: that of the timezone of the answer, which is GMT unless one was asked
// for. utc_offset_seconds is one offset for the whole answer: hours are read
// with it; days in unix time begin within an hour of midnight by it, as the
// clocks may change in between.
var openMeteo = Format{
	Name:  "open-meteo",
	Brief: "daily or hourly JSON in the style of Open-Meteo (archive or forecast), units read from the answer",
	Needs: []string{
		"daily temperature_2m_max and temperature_2m_min, or temperature_2m_mean, or hourly temperature_2m, for one model",
		"timezone in the request: without it the days are UTC days",
		"location: which one, from 1, when the answer holds several",
		"window or zone: which hours are a day, for hourly values",
	},
	Finer:    true,
	declares: []string{declaresLocation},
	parse:    whole(parseOpenMeteo),
}

const openMeteoCredit = "Weather data by Open-Meteo.com (https://open-meteo.com/), CC BY 4.0"

type openMeteoAnswer struct {
	Error       bool                       `json:"error"`
	Reason      string                     `json:"reason"`
	Latitude    *float64                   `json:"latitude"`
	Longitude   *float64                   `json:"longitude"`
	Elevation   *float64                   `json:"elevation"`
	UTCOffsetS  *int64                     `json:"utc_offset_seconds"`
	Timezone    string                     `json:"timezone"`
	DailyUnits  map[string]string          `json:"daily_units"`
	Daily       map[string]json.RawMessage `json:"daily"`
	HourlyUnits map[string]string          `json:"hourly_units"`
	Hourly      map[string]json.RawMessage `json:"hourly"`
}

func parseOpenMeteo(body []byte, opt Options) (Batch, error) {
	answer, err := oneLocation(body, opt)
	noNumbers := 0
	if err != nil {
		var cleaned []byte
		if cleaned, noNumbers = withoutNaN(body); noNumbers > 0 {
			answer, err = oneLocation(cleaned, opt)
		}
	}
	if err != nil {
		return Batch{}, err
	}
	if answer.Error {
		return Batch{}, answer.refusal()
	}
	daily := openMeteoTable{name: "daily", units: answer.DailyUnits, arrays: answer.Daily, answer: &answer}
	hourly := openMeteoTable{name: "hourly", units: answer.HourlyUnits, arrays: answer.Hourly, answer: &answer}
	var b Batch
	if hourly.has("temperature_2m") && (opt.ReadingsOnly || !daily.hasTemperatures()) {
		b, err = hourly.readings(opt)
	} else {
		b, err = daily.days(opt)
	}
	if err != nil {
		return Batch{}, err
	}
	b.Credit = openMeteoCredit
	if noNumbers > 0 {
		b.Notes = append(b.Notes, fmt.Sprintf("%d values are written as nan or inf, which JSON doesn't have: taken as missing", noNumbers))
	}
	b.Place = Place{LatitudeDeg: said(answer.Latitude), LongitudeDeg: said(answer.Longitude), AltitudeM: said(answer.Elevation)}
	return b, nil
}

// refusal tells a request that is wrong from one that came at a wrong time.
func (a openMeteoAnswer) refusal() error {
	reason := strings.ToLower(a.Reason)
	for _, later := range []string{"limit exceeded", "too many concurrent", "overloaded", "something went wrong"} {
		if strings.Contains(reason, later) {
			return refuse("ask again later, and less often", "the server refuses: %s", shortenTo(300, a.Reason))
		}
	}
	return refuse("correct the request", "the server refuses: %s", shortenTo(300, a.Reason))
}

// oneLocation reads an answer for one place, or the chosen one of several.
func oneLocation(body []byte, opt Options) (openMeteoAnswer, error) {
	var one openMeteoAnswer
	start := bytes.TrimSpace(bytes.TrimPrefix(body, byteOrderMark))
	if !bytes.HasPrefix(start, []byte("[")) {
		if opt.Location > 1 {
			return one, refuse("remove location", "the answer holds one place, and location is %d", opt.Location)
		}
		return one, decodeJSON(body, "Open-Meteo", &one)
	}
	var list json.RawMessage
	if err := decodeJSON(body, "Open-Meteo", &list); err != nil {
		return one, err
	}
	found := 0
	var first, wanted json.RawMessage
	err := eachJSON(bytes.TrimSpace(list), "Open-Meteo", "the answer", func(number int, item *json.RawMessage) error {
		found = number
		if number == 1 {
			first = *item
		}
		if number == opt.Location {
			wanted = *item
		}
		return nil
	})
	if err != nil {
		return one, err
	}
	if opt.Location == 0 && found == 1 {
		wanted = first
	}
	if wanted == nil {
		return one, refuse(fmt.Sprintf("set location to a number from 1 to %d, or ask for one place", max(found, 1)),
			"the answer holds %d places, and %s", found, locationSaid(opt.Location))
	}
	return one, decodeJSON(wanted, "Open-Meteo", &one)
}

func locationSaid(n int) string {
	if n == 0 {
		return "location doesn't say which one"
	}
	return fmt.Sprintf("location is %d", n)
}

// noTemperatures says why no series serves: another name, or several models.
func (t openMeteoTable) noTemperatures() error {
	var others []string
	for name := range t.arrays {
		if strings.HasPrefix(name, "temperature_2m_") {
			others = append(others, name)
		}
	}
	slices.Sort(others)
	if len(others) > 0 {
		return refuse("ask for one model with both temperature_2m_max and temperature_2m_min, or temperature_2m_mean",
			"the answer holds only %s", shortenTo(200, strings.Join(others, ", ")))
	}
	found := sortedKeys(t.arrays)
	found = slices.DeleteFunc(found, func(name string) bool { return name == "time" })
	if len(found) == 0 {
		for _, name := range sortedKeys(t.answer.Hourly) {
			found = append(found, "hourly "+name)
		}
	}
	return refuse("add daily=temperature_2m_max,temperature_2m_min,temperature_2m_mean to the request", "the answer holds no daily temperature, only: %s", shortenTo(200, strings.Join(found, ", ")))
}

// said is the value, or NaN where the answer is silent.
func said(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
