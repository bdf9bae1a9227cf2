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
	refused(t, "which of two", "open-meteo", two, feed.Options{}, "2 locations", "set location to a number from 1 to 2")
	refused(t, "the third of two", "open-meteo", two, feed.Options{Location: 3}, "location is 3")
	b := parse(t, "open-meteo", []byte(two), feed.Options{Location: 2})
	if b.Place.LatitudeDeg != 62 || b.Days[0].MeanC != 6.1 {
		t.Errorf("%+v", b)
	}
	one := strings.Replace("["+string(sample(t, "open-meteo/invented.json"))+"]", "\n", "", 1)
	if b := parse(t, "open-meteo", []byte(one), feed.Options{}); len(b.Days) != 3 {
		t.Errorf("an array of one: %+v", b)
	}
	refused(t, "an empty array", "open-meteo", "[]", feed.Options{}, "0 locations")
}

func TestOpenMeteoAnswersThatDoNotServe(t *testing.T) {
	const answer = `{"timezone":"GMT","daily_units":{"time":"iso8601","temperature_2m_mean":"°C"},"daily":{"time":["2031-05-01","2031-05-02"],"temperature_2m_mean":[4,5]}}`
	if b := parse(t, "open-meteo", []byte(answer), feed.Options{}); len(b.Days) != 2 || !math.IsNaN(b.Place.AltitudeM) {
		t.Errorf("%+v", b)
	}
	for _, row := range []struct{ sentence, old, new, says string }{
		{"an error object", answer, `{"error":true,"reason":"Daily API request limit exceeded."}`, "Daily API request limit exceeded."},
		{"an error in XML", answer, `<error/>`, "XML or HTML"},
		{"no daily values", `"daily":`, `"hourly":`, "no daily.time"},
		{"epochs", "iso8601", "unixtime", "timeformat=iso8601"},
		{"a unit nobody asked for", "°C", "K", "temperature_unit=celsius"},
		{"no unit", `,"temperature_2m_mean":"°C"`, "", "neither °C nor °F"},
		{"arrays of two lengths", "[4,5]", "[4]", "1 values for 2 days"},
		{"words for numbers", "[4,5]", `[4,"5"]`, "daily.temperature_2m_mean can't be read"},
		{"bare nan", "[4,5]", "[4,nan]", "damaged at byte"},
		{"numbers for dates", `"2031-05-02"`, "5", "daily.time can't be read"},
		{"several models", "temperature_2m_mean", "temperature_2m_mean_ecmwf", "one model"},
		{"rain only", "temperature_2m_mean", "rain_sum", "no daily temperature"},
		{"a minimum alone", "temperature_2m_mean", "temperature_2m_min", "both"},
		{"a list of numbers", answer, "[1,2]", "holds a number"},
		{"two answers", answer, answer + answer, "damaged at byte"},
	} {
		refused(t, row.sentence, "open-meteo", strings.ReplaceAll(answer, row.old, row.new), feed.Options{}, row.says)
	}
	b := parse(t, "open-meteo", []byte(strings.Replace(answer, "2031-05-02", "2031-05-02T00:00", 1)), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{2: "is no date"})
	b = parse(t, "open-meteo", []byte(strings.Replace(answer, "2031-05-02", "2031-05-01", 1)), feed.Options{})
	sameDays(t, "a day twice", b.Days, []weather.Day{marked(day("2031-05-01", none, none, 4), weather.Conflict)})
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
