package feed_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestAnInventedOpenMeteoAnswer(t *testing.T) {
	body := sample(t, "open-meteo/invented.json")
	b := parse(t, "open-meteo", body, feed.Options{Station: "KUU"})
	sameDays(t, "invented", b.Days, []weather.Day{
		day("2031-05-01", 1.2, 9.8, 5.1), day("2031-05-02", none, none, none), day("2031-05-03", -0.4, 12, 6)})
	if b.Window != (feed.Window{EndHour: 24, Zone: "Europe/Helsinki", Label: feed.LabelStart}) || b.Place != (feed.Place{LatitudeDeg: 61, LongitudeDeg: 25, AltitudeM: 143}) ||
		b.MissingValues != 3 || b.Station != "KUU" || !strings.Contains(b.Credit, "CC BY") {
		t.Errorf("%+v", b)
	}
	for cut := 1; cut < len(body)-1; cut++ {
		says := fmt.Sprintf("cut off at byte %d", cut)
		refused(t, says, "open-meteo", string(body[:cut]), feed.Options{}, says)
	}
}

func TestSeveralPlacesInOneAnswer(t *testing.T) {
	two := string(sample(t, "open-meteo/invented_two_places.json"))
	refused(t, "which of two", "open-meteo", two, feed.Options{}, "2 places, and location doesn't say which one", "set location to a number from 1 to 2")
	refused(t, "the third of two", "open-meteo", two, feed.Options{Location: 3}, "location is 3")
	b := parse(t, "open-meteo", []byte(two), feed.Options{Location: 2})
	if b.Place.LatitudeDeg != 62 || b.Days[0].MeanC != 6.1 {
		t.Errorf("%+v", b)
	}
	one := strings.Replace("["+string(sample(t, "open-meteo/invented.json"))+"]", "\n", "", 1)
	if b := parse(t, "open-meteo", []byte(one), feed.Options{}); len(b.Days) != 3 {
		t.Errorf("an array of one: %+v", b)
	}
	refused(t, "an empty array", "open-meteo", "[]", feed.Options{}, "0 places")
}

func TestOpenMeteoAnswersThatDoNotServe(t *testing.T) {
	const answer = `{"timezone":"GMT","daily_units":{"time":"iso8601","temperature_2m_mean":"°C"},"daily":{"time":["2031-05-01","2031-05-02"],"temperature_2m_mean":[4,5]}}`
	if b := parse(t, "open-meteo", []byte(answer), feed.Options{}); len(b.Days) != 2 || !math.IsNaN(b.Place.AltitudeM) {
		t.Errorf("%+v", b)
	}
	for _, row := range []struct{ sentence, old, new, says string }{
		{"an error object", answer, `{"error":true,"reason":"Daily API request limit exceeded."}`, "Daily API request limit exceeded."},
		{"an error in XML", answer, `<error/>`, "XML or HTML"},
		{"no daily values", `"daily":`, `"hourly":`, "no daily temperature, only: hourly temperature_2m_mean"},
		{"epochs without an offset", "iso8601", "unixtime", "timeformat=iso8601"},
		{"times of a third kind", "iso8601", "julian", "neither iso8601 nor unixtime"},
		{"a unit nobody asked for", "°C", "K", "temperature_unit=celsius"},
		{"no unit", `,"temperature_2m_mean":"°C"`, "", "neither °C nor °F"},
		{"arrays of two lengths", "[4,5]", "[4]", "1 values for 2 times"},
		{"words for numbers", "[4,5]", `[4,"5"]`, "entry 2 of daily.temperature_2m_mean of this Open-Meteo JSON holds a string"},
		{"a bare word", "[4,5]", "[4,none]", "damaged at byte"},
		{"numbers for dates", `"2031-05-02"`, "5", "entry 2 of daily.time of this Open-Meteo JSON holds a number"},
		{"several models", "temperature_2m_mean", "temperature_2m_mean_ecmwf", "one model"},
		{"rain only", "temperature_2m_mean", "rain_sum", "no daily temperature"},
		{"a minimum alone", "temperature_2m_mean", "temperature_2m_min", "both"},
		{"a list of numbers", answer, "[1]", "holds a number"},
		{"two answers", answer, answer + answer, "damaged at byte"},
	} {
		refused(t, row.sentence, "open-meteo", strings.ReplaceAll(answer, row.old, row.new), feed.Options{}, row.says)
	}
	b := parse(t, "open-meteo", []byte(strings.Replace(answer, "2031-05-02", "2031-05-02T00:00", 1)), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "is no date"})
	b = parse(t, "open-meteo", []byte(strings.Replace(answer, "2031-05-02", "2031-05-01", 1)), feed.Options{})
	sameDays(t, "a day twice", b.Days, []weather.Day{marked(day("2031-05-01", none, none, 4), weather.Conflict)})
}

func TestOpenMeteoInOtherUnits(t *testing.T) {
	b := parse(t, "open-meteo", sample(t, "open-meteo/clean.json"), feed.Options{})
	sameDays(t, "°F", b.Days, []weather.Day{day("2031-05-01", 0, 10, 5), day("2031-05-02", -1, 15, 7)})
	if b.Winds[0].MaxMS != 5 || b.Winds[1].GustMS != 20 { // 18 and 72 km/h
		t.Error(b.Winds)
	}
}

func TestOpenMeteoHours(t *testing.T) {
	body := sample(t, "open-meteo/dirty.json")
	b := parse(t, "open-meteo", body, feed.Options{Zone: helsinki(t)})
	// Each hour of two days is as warm as its number; 05:00 of 1 May is null:
	// the hours beside it count 1.5 each, (276-5+0.5*4+0.5*6)/24 = 11.5. The
	// second day isn't over at 23:00 by an hour that has no neighbour after it.
	if b.Days[0].Date.String() != "2031-05-01" || b.Days[0].MaxC != 23 || b.MissingValues != 1 {
		t.Errorf("%+v", b.Days)
	}
	near(t, "the mean", b.Days[0].MeanC, 11.5)
	sameRejects(t, b.Rejects, map[int]string{31: "no temperature of air", 41: "no time"})
	refused(t, "no window", "open-meteo", string(body), feed.Options{}, "which hours are a day")
	refused(t, "no offset", "open-meteo", strings.Replace(string(body), "utc_offset_seconds", "offset", 1), feed.Options{}, "utc_offset_seconds is missing")

	b = parse(t, "open-meteo", sample(t, "open-meteo/edge.json"), feed.Options{Zone: helsinki(t)})
	// From midnight of 26 October in Helsinki, 26 hours in unix time: the day has 25.
	sameDays(t, "the day of 25 hours", b.Days, []weather.Day{day("2031-10-26", 4, 4, 4)})
	if b.Winds[0].GustMS != 5.14 { // 10 kn
		t.Error(b.Winds)
	}
}

func TestOpenMeteoDaysInUnixTime(t *testing.T) {
	// Berlin, 28 to 31 March 2026; the answer's offset is that of before the
	// change of the clocks on the 29th, so the 30th begins at 23:00 by it.
	const answer = `{"utc_offset_seconds":3600,"timezone":"Europe/Berlin","daily_units":{"time":"unixtime","temperature_2m_mean":"°C"},"daily":{"time":[1774652400,1774738800,1774821600,%s],"temperature_2m_mean":[1,2,3,4]}}`
	b := parse(t, "open-meteo", fmt.Appendf(nil, answer, "1774908000"), feed.Options{})
	sameDays(t, "across the change", b.Days, []weather.Day{day("2026-03-28", none, none, 1), day("2026-03-29", none, none, 2), day("2026-03-30", none, none, 3), day("2026-03-31", none, none, 4)})
	for _, bad := range []string{"1774915000", "-99999999999999", "99999999999999"} {
		b = parse(t, "open-meteo", fmt.Appendf(nil, answer, bad), feed.Options{})
		sameRejects(t, b.Rejects, map[int]string{4: "no beginning of a day"})
	}
}

func TestOpenMeteoErrorsSayWhatToDo(t *testing.T) {
	for reason, cure := range map[string]string{
		"Minutely API request limit exceeded. Please try again in one minute.": "ask again later",
		"Daily API request limit exceeded. Please try again tomorrow.":         "ask again later",
		"Too many concurrent requests":                                         "ask again later",
		"The service is overloaded":                                            "ask again later",
		"Something went wrong.":                                                "ask again later",
		"Cannot initialize X":                                                  "correct the request",
	} {
		refused(t, reason, "open-meteo", `{"error":true,"reason":"`+reason+`"}`, feed.Options{}, reason, cure)
	}
	for _, row := range []struct{ sentence, names, says string }{
		{"members of an ensemble of several models", "temperature_2m_max_member01_x", "only temperature_2m_max_member01_x"},
		{"rain", "precipitation_sum", "no daily temperature, only: precipitation_sum"},
	} {
		refused(t, row.sentence, "open-meteo", `{"daily_units":{"time":"iso8601"},"daily":{"time":["2031-05-01"],"`+row.names+`":[1]}}`, feed.Options{}, row.says)
	}
	// Older servers' names for the wind, and a unit that isn't known.
	b := parse(t, "open-meteo", []byte(`{"timezone":"GMT","daily_units":{"time":"iso8601","temperature_2m_mean":"°C","windspeed_10m_max":"m/s","windgusts_10m_max":"Bft"},"daily":{"time":["2031-05-01"],"temperature_2m_mean":[1],"windspeed_10m_max":[4],"windgusts_10m_max":[6]}}`), feed.Options{})
	if len(b.Winds) != 1 || b.Winds[0].MaxMS != 4 || !math.IsNaN(b.Winds[0].GustMS) {
		t.Errorf("%+v", b.Winds)
	}
	b = parse(t, "open-meteo", []byte(`{"daily_units":{"time":"iso8601","temperature_2m_mean":"°C"},"daily":{"time":["2031-05-01"],"temperature_2m_mean":[1]}}`), feed.Options{})
	if b.Window.Stated() {
		t.Error(b.Window)
	}
}

func TestRealOpenMeteoAnswers(t *testing.T) {
	for _, row := range []struct {
		file, first, last, zone string
		want                    weather.Day // of the first day; read off the files
	}{
		{"archive_oslo_mean.json", "2025-01-15", "2025-01-17", "GMT", day("2025-01-15", none, none, 0)},
		{"archive_oslo_maxmin.json", "2025-01-15", "2025-01-17", "GMT", day("2025-01-15", -3.6, 2.8, none)},
		{"archive_bergen_mean_fahrenheit.json", "2025-01-15", "2025-01-17", "GMT", day("2025-01-15", none, none, 7.78)}, // 46.0 °F = 7.778 °C
		{"forecast_newyork_2026-02-06.json", "2026-02-06", "2026-02-12", "America/New_York", day("2026-02-06", -9.2, -0.2, none)},
	} {
		b := parse(t, "open-meteo", real(t, "feeds/open-meteo/"+row.file), feed.Options{})
		if b.Days[0].Date.String() != row.first || b.Days[len(b.Days)-1].Date.String() != row.last || b.Window.Zone != row.zone || len(b.Rejects) != 0 {
			t.Errorf("%s: %+v", row.file, b)
		}
		sameDays(t, row.file, b.Days[:1], []weather.Day{row.want})
	}
	refused(t, "latitude", "open-meteo", string(real(t, "feeds/open-meteo/error_latitude.json")), feed.Options{}, "Latitude must be in range of -90 to 90°. Given: 200.0.")
	refused(t, "variable", "open-meteo", string(real(t, "feeds/open-meteo/error_variable.json")), feed.Options{}, "tempeture_2m for key hourly")
}
