package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// openMeteoTable is the arrays of one step, daily or hourly, with their units.
type openMeteoTable struct {
	name   string
	units  map[string]string
	arrays map[string]json.RawMessage
	answer *openMeteoAnswer
}

func (t openMeteoTable) has(name string) bool {
	_, there := t.arrays[name]
	return there
}

func (t openMeteoTable) hasTemperatures() bool {
	return t.has("temperature_2m_mean") || t.has("temperature_2m_min") && t.has("temperature_2m_max")
}

// moments is the times of a table, as words or as seconds since 1970.
type moments struct {
	words   []string
	seconds []int64
}

func (m moments) len() int { return max(len(m.words), len(m.seconds)) }

func (m moments) text(i int) string {
	if m.words != nil {
		return m.words[i]
	}
	return fmt.Sprint(m.seconds[i])
}

// times reads the array of times in the form that its unit names.
func (t openMeteoTable) times() (m moments, err error) {
	raw, there := t.arrays["time"]
	if !there {
		return m, t.noTemperatures()
	}
	name := t.name + ".time"
	switch unit := t.units["time"]; unit {
	case "iso8601":
		m.words = make([]string, 0, 1+bytes.Count(raw, []byte(`","`)))
		return m, eachJSON(raw, "Open-Meteo", name, func(_ int, s *string) error { m.words = append(m.words, *s); return nil })
	case "unixtime":
		m.seconds = []int64{}
		if t.answer.UTCOffsetS == nil {
			return m, refuse("ask with timeformat=iso8601", "the times are in unix time and utc_offset_seconds is missing")
		}
		return m, eachJSON(raw, "Open-Meteo", name, func(_ int, s *int64) error { m.seconds = append(m.seconds, *s); return nil })
	default:
		return m, refuse("ask with timeformat=iso8601", "%s_units.time is %q, neither iso8601 nor unixtime", t.name, shorten(unit))
	}
}

// numbers reads an array that must be as long as the times; nil where there is
// none, NaN for null.
func (t openMeteoTable) numbers(name string, n int) (values []float64, err error) {
	raw, there := t.arrays[name]
	if !there {
		return nil, nil
	}
	values = make([]float64, 0, n)
	err = eachJSON(raw, "Open-Meteo", t.name+"."+name, func(_ int, v **float64) error {
		values = append(values, said(*v))
		return nil
	})
	if err == nil && len(values) != n {
		err = refuse("fetch it again, or tell the source", "%s.%s has %d values for %d times", t.name, name, len(values), n)
	}
	return values, err
}

// temperatures is numbers in °C.
func (t openMeteoTable) temperatures(name string, n int) ([]float64, error) {
	values, err := t.numbers(name, n)
	if values == nil || err != nil {
		return nil, err
	}
	switch unit := t.units[name]; unit {
	case "°C":
	case "°F":
		for i := range values {
			values[i] = celsius(values[i])
		}
	default:
		return nil, refuse("ask with temperature_unit=celsius", "%s_units.%s is %q, neither °C nor °F", t.name, name, shorten(unit))
	}
	return values, nil
}

// openMeteoMS is metres per second in a unit of wind.
var openMeteoMS = map[string]float64{"m/s": 1, "ms": 1, "km/h": 1 / 3.6, "mp/h": 0.44704, "mph": 0.44704, "kn": 1852.0 / 3600}

// wind is numbers in metres per second, by the first of the names that can be
// read; none, where there is none.
func (t openMeteoTable) wind(n int, names ...string) windSpeeds {
	for _, name := range names {
		factor, known := openMeteoMS[t.units[name]]
		values, err := t.numbers(name, n)
		if !known || err != nil || values == nil {
			continue
		}
		for i, v := range values {
			values[i] = windMS(hundredths(v * factor))
		}
		return values
	}
	return nil
}

// windSpeeds is metres per second, or nothing.
type windSpeeds []float64

func (w windSpeeds) at(i int) float64 {
	if w == nil {
		return math.NaN()
	}
	return w[i]
}

// days reads a daily table.
func (t openMeteoTable) days(opt Options) (Batch, error) {
	if !t.hasTemperatures() {
		return Batch{}, t.noTemperatures()
	}
	times, err := t.times()
	if err != nil {
		return Batch{}, err
	}
	var values [elementCount][]float64
	for e, name := range [elementCount]string{"temperature_2m_min", "temperature_2m_max", "temperature_2m_mean"} {
		if values[e], err = t.temperatures(name, times.len()); err != nil {
			return Batch{}, err
		}
	}
	speeds := t.wind(times.len(), "wind_speed_10m_max", "windspeed_10m_max")
	gusts := t.wind(times.len(), "wind_gusts_10m_max", "windgusts_10m_max")
	var c collector
	for i := range times.len() {
		date, ok := times.date(i, t.answer.UTCOffsetS)
		if !ok {
			c.rejects.add(i+1, times.text(i), "is no date YYYY-MM-DD, or no beginning of a day")
			continue
		}
		d := weather.Missing(date)
		for e, into := range [elementCount]*float64{&d.MinC, &d.MaxC, &d.MeanC} {
			if values[e] == nil {
				continue
			}
			if *into = values[e][i]; math.IsNaN(*into) {
				c.missing++
			}
		}
		c.day(i+1, times.text(i), d)
		c.wind(weather.Wind{Date: date, MeanMS: math.NaN(), MaxMS: speeds.at(i), GustMS: gusts.at(i)})
	}
	b := c.batch(opt)
	b.MeanOf = meanOf(b.Days, MeanPublished)
	if t.answer.Timezone != "" {
		b.Window = naturalDay(t.answer.Timezone)
	} else if !b.Window.Stated() {
		b.Notes = append(b.Notes, "the answer doesn't say in which timezone its days are")
	}
	return b, nil
}

// date reads the date of a day.
func (m moments) date(i int, offsetS *int64) (civil.Date, bool) {
	if m.words != nil {
		return parseDate("2006-01-02", m.words[i])
	}
	at, ok := fromEpoch(m.seconds[i])
	if !ok || *offsetS < -86400 || *offsetS > 86400 {
		return 0, false
	}
	at = at.Add(time.Duration(*offsetS) * time.Second)
	near := at.Add(12 * time.Hour).Truncate(24 * time.Hour)                            // the nearest midnight
	if d := at.Sub(near); d > time.Hour || d < -time.Hour || d%(30*time.Minute) != 0 { // clocks change by an hour, or by half of one
		return 0, false
	}
	return civil.At(near), true
}

// moment reads the moment of an hour.
func (m moments) moment(i int, offsetS *int64) (time.Time, bool) {
	if m.words == nil {
		return fromEpoch(m.seconds[i])
	}
	at, err := time.Parse("2006-01-02T15:04", m.words[i])
	if err != nil || at.Year() < 1 || *offsetS < -86400 || *offsetS > 86400 {
		return at, false
	}
	return at.Add(-time.Duration(*offsetS) * time.Second), true
}

// readings reads an hourly table.
func (t openMeteoTable) readings(opt Options) (Batch, error) {
	times, err := t.times()
	if err != nil {
		return Batch{}, err
	}
	if t.answer.UTCOffsetS == nil {
		return Batch{}, refuse("ask the server again, or another one", "utc_offset_seconds is missing, so nobody knows what the hours mean")
	}
	values, err := t.temperatures("temperature_2m", times.len())
	if err != nil {
		return Batch{}, err
	}
	speeds := t.wind(times.len(), "wind_speed_10m", "windspeed_10m")
	gusts := t.wind(times.len(), "wind_gusts_10m", "windgusts_10m")
	var c collector
	var rs readings
	var winds windReadings
	for i := range times.len() {
		at, ok := times.moment(i, t.answer.UTCOffsetS)
		switch {
		case !ok:
			c.rejects.add(i+1, times.text(i), "is no time such as 2031-05-03T06:00")
			continue
		case math.Abs(values[i]) > hottestC:
			c.rejects.add(i+1, fmt.Sprintf("%.6g °C", values[i]), "is no temperature of air")
			continue
		}
		rs.add(instant(i+1, at, values[i]))
		winds.add(windReading{at: at, speed: speeds.at(i), gustMS: math.NaN()})
		winds.add(windReading{at: at, over: time.Hour, speed: math.NaN(), gustMS: gusts.at(i)})
	}
	if len(rs.list) == 0 {
		return Batch{}, c.rejects.nothingRead("fetch it again, or tell the source")
	}
	list := rs.settle(&c.rejects)
	b := c.batch(opt)
	b.Readings, b.MissingValues, b.Winds = list, rs.missing, winds.days(opt)
	return b, nil
}
