package feed_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func helsinki(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Helsinki")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// forecast writes a Locationforecast of steps such as "05-03T06 4.5" or, with
// the extremes of the six hours after it, "05-03T06 4.5 9.1 3.8".
func forecast(steps ...string) []byte {
	var list []string
	for _, s := range steps {
		f := append(strings.Fields(s), "", "", "")
		details, next := fmt.Sprintf(`"air_temperature":%s`, f[1]), ""
		if f[1] == "" {
			details = `"wind_speed":3`
		}
		if f[2] != "" {
			next = fmt.Sprintf(`,"next_6_hours":{"details":{"air_temperature_max":%s,"air_temperature_min":%s}}`, f[2], f[3])
		}
		list = append(list, fmt.Sprintf(`{"time":"2031-%s:00:00Z","data":{"instant":{"details":{%s}}%s}}`, f[0], details, next))
	}
	return []byte(`{"type":"Feature","geometry":{"coordinates":[25,61,143]},"properties":{"meta":{"updated_at":"2031-05-03T02:30:00Z","units":{"air_temperature":"celsius"}},"timeseries":[` + strings.Join(list, ",") + `]}}`)
}

// line gives steps at the hours of May 2031 (25 is 01 of the next day), each
// as warm as its hour.
func line(firstDay int, hours ...int) (steps []string) {
	for _, h := range hours {
		steps = append(steps, fmt.Sprintf("05-%02dT%02d %d", firstDay+h/24, h%24, h))
	}
	return steps
}

func TestDaysAreMadeOfSteps(t *testing.T) {
	for _, row := range []struct {
		sentence string
		steps    []string
		zone     *time.Location
		want     []weather.Day
		partial  int
	}{
		// On the line T = hour, a whole day's mean is 12, whatever the steps.
		{"hourly and six-hourly steps are weighted by time", line(3, 0, 1, 2, 3, 4, 5, 6, 12, 18, 24), time.UTC,
			[]weather.Day{day("2031-05-03", 0, 24, 12)}, 1},
		{"the day is the zone's", line(3, 0, 6, 12, 18, 24, 30, 36, 42, 48), time.FixedZone("UTC+3", 3*3600),
			// 4 May begins at 21 UTC of 3 May; 3 May lacks its first 3 hours: 87.5 %
			[]weather.Day{day("2031-05-03", 0, 21, 10.5), day("2031-05-04", 21, 45, 33)}, 1},
		{"four fifths of a day are enough", line(3, 4, 10, 16, 22, 24), time.UTC, []weather.Day{day("2031-05-03", 4, 24, 14)}, 1},
		{"less is not", line(3, 5, 10, 16, 22, 24), time.UTC, nil, 2},
		{"a hole of more than six hours is not bridged", line(3, 0, 6, 13, 18, 24), time.UTC, nil, 2}, // 17 of 24 hours
		{"the extremes of six hours within the day widen it", []string{"05-03T00 5", "05-03T06 5 9 4", "05-03T12 5", "05-03T18 5 7 3", "05-04T00 5"}, time.UTC,
			[]weather.Day{day("2031-05-03", 3, 9, 5)}, 1},
		{"those that reach into the next day do not", []string{"05-03T00 5", "05-03T06 5", "05-03T12 5", "05-03T18 5", "05-03T19 5 9 1", "05-04T00 5"}, time.UTC,
			[]weather.Day{day("2031-05-03", 5, 5, 5)}, 1},
		{"a step without temperature leaves a hole", []string{"05-03T00 5", "05-03T06 5", "05-03T09", "05-03T12 5", "05-03T18 5", "05-04T00 5"}, time.UTC,
			[]weather.Day{day("2031-05-03", 5, 5, 5)}, 1},
	} {
		b := parse(t, "metno", forecast(row.steps...), feed.Options{Zone: row.zone, Station: "KUU"})
		sameDays(t, row.sentence, b.Days, row.want)
		if len(b.Partial) != row.partial || len(b.Rejects) != 0 {
			t.Errorf("%s: partial %v, rejects %v", row.sentence, b.Partial, b.Rejects)
		}
		if b.Window.Zone != row.zone.String() || b.Station != "KUU" || b.Place.AltitudeM != 143 || b.Issued.Format(time.RFC3339) != "2031-05-03T02:30:00Z" {
			t.Errorf("%s: %+v", row.sentence, b)
		}
	}
}

func TestDaysOfTheClockChanges(t *testing.T) {
	constant := func(month string, first, last int) (steps []string) {
		for d := first; d <= last; d++ {
			for h := 0; h < 24; h += 6 {
				steps = append(steps, fmt.Sprintf("%s-%02dT%02d 5", month, d, h))
			}
		}
		return steps
	}
	// In 2031 Finland's clocks change on 30 March and 26 October (last Sundays).
	for _, row := range []struct {
		month       string
		first, last int
		date        string
	}{{"03", 28, 31, "2031-03-30"}, {"10", 24, 28, "2031-10-26"}} {
		b := parse(t, "metno", forecast(constant(row.month, row.first, row.last)...), feed.Options{Zone: helsinki(t)})
		found := false
		for _, d := range b.Days {
			found = found || d.Date.String() == row.date && d.MeanC == 5
		}
		if !found || len(b.Rejects) != 0 {
			t.Errorf("%s: %v %v", row.date, b.Days, b.Rejects)
		}
	}
}

func TestTheMeanDoesNotDependOnTheSteps(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		hours := []int{0}
		for hours[len(hours)-1] < 24 {
			hours = append(hours, min(24, hours[len(hours)-1]+rapid.IntRange(1, 6).Draw(r, "step")))
		}
		b, err := feed.Parse("metno", strings.NewReader(string(forecast(line(3, hours...)...))), feed.Options{Zone: time.UTC})
		if err != nil || math.Abs(b.Days[0].MeanC-12) > 1e-9 {
			r.Fatalf("%v: %v %v", hours, b.Days, err)
		}
	})
}

func TestForecastsThatDoNotServe(t *testing.T) {
	good := string(forecast(line(3, 0, 6, 12, 18, 24)...))
	opt := feed.Options{Zone: time.UTC}
	refused(t, "no zone", "metno", good, feed.Options{}, "set zone")
	for _, row := range []struct{ sentence, old, new, says string }{
		{"another unit", `"celsius"`, `"fahrenheit"`, `"fahrenheit", not celsius`},
		{"no unit", `"air_temperature":"celsius"`, ``, "not celsius"},
		{"another JSON", "timeseries", "series", "no properties.timeseries"},
		{"another kind", "Feature", "Observation", "Feature"},
		{"words for numbers", `"air_temperature":6`, `"air_temperature":"6"`, "entry 2 of timeseries of this Locationforecast JSON holds a string"},
		{"no times", "2031-", "x", "nothing in this file could be read; first: is no time"},
		{"years", "2031-05-04T00", "2033-05-04T00", "that is no forecast"},
		{"a page", good, "<p>no</p>", "XML or HTML"},
	} {
		refused(t, row.sentence, "metno", strings.ReplaceAll(good, row.old, row.new), opt, row.says)
	}
	for _, cut := range []int{1, 50, len(good) / 2, len(good) - 1} {
		says := fmt.Sprintf("cut off at byte %d", cut)
		refused(t, says, "metno", good[:cut], opt, says)
	}
	steps := line(3, 0, 6, 12, 6, 18, 24)
	b := parse(t, "metno", forecast(steps...), opt)
	sameDays(t, "a step out of order is left out", b.Days, []weather.Day{day("2031-05-03", 0, 24, 12)})
	sameRejects(t, b.Rejects, map[int]string{4: "not later"})
	hole := parse(t, "metno", forecast(line(3, 0, 6, 12, 18, 24, 42, 48, 54, 60, 66, 72)...), opt)
	sameDays(t, "a hole in the middle", hole.Days, []weather.Day{day("2031-05-03", 0, 24, 12), day("2031-05-05", 48, 72, 60)})
	sameRejects(t, hole.Rejects, map[int]string{5: "25 % of the day is covered"})
}

func TestAnInventedForecast(t *testing.T) {
	b := parse(t, "metno", sample(t, "metno/invented_complete.json"), feed.Options{Zone: helsinki(t)})
	// Invented as 4 °C at 03 local time rising by 10/12 K an hour to 14 °C at
	// 15 and falling likewise; the first three hours' slopes differ, as the
	// forecast begins at 06 local time on 3 May: 75 % of that day.
	if len(b.Days) != 3 || b.Days[0].Date.String() != "2031-05-04" || len(b.Partial) != 2 || !strings.Contains(b.Partial[0].Reason, "75 %") {
		t.Errorf("%v, partial %v", b.Days, b.Partial)
	}
	for _, d := range b.Days {
		if d.MaxC != 14 || d.MinC != 4 || math.Abs(d.MeanC-9) > 0.6 {
			t.Errorf("%+v", d)
		}
	}
}

func TestForecastsOfOurOwnMaking(t *testing.T) {
	b := parse(t, "metno", sample(t, "metno/clean.json"), feed.Options{Zone: time.UTC})
	// Each hour is as warm as its number; from 23 to 00 UTC it falls by 23 K in
	// that hour, whose mean is 11.5: (0+…+23)/24 with the ends halved.
	// 3 May: 0, 6, 12, 6, 0 every six hours, and the extremes of two of them.
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-05-01", 0, 23, 11.5), day("2031-05-02", 0, 23, 11.5), day("2031-05-03", -2, 13, 6)})
	if b.Winds[0].GustMS != 16.5 || b.Winds[0].MaxMS != 3 || len(b.Notes) != 0 {
		t.Errorf("%v %v", b.Winds, b.Notes)
	}
	b = parse(t, "metno", sample(t, "metno/dirty.json"), feed.Options{ReadingsOnly: true})
	sameRejects(t, b.Rejects, map[int]string{4: "not later", 5: "no time", 6: "no temperature of air"})
	counts(t, b, 1, 0)
	if len(b.Readings) != 5 || len(b.Winds) != 0 {
		t.Errorf("%+v", b)
	}
	b = parse(t, "metno", sample(t, "metno/edge.json"), feed.Options{Zone: helsinki(t)})
	sameDays(t, "29 February", b.Days, []weather.Day{day("2032-02-29", -0.5, -0.5, -0.5), day("2032-03-01", -0.5, -0.5, -0.5)})
	b = parse(t, "metno", forecast(line(3, 0, 6, 12, 18, 24)...), feed.Options{Window: feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}})
	notes(t, b, "the complete flavour holds better ones")
}

func TestRealForecasts(t *testing.T) {
	for _, row := range []struct {
		file string
		zone *time.Location
		want weather.Day // 21 July 2020 in its 25 hourly steps, computed from the file by another program
		days int
	}{
		{"complete_51.5_-0.1.json", time.UTC, day("2020-07-21", 10.9, 20.2, 16.04), 8},
		{"compact_39.9_116.4.json", time.UTC, day("2020-07-21", 21.4, 33.8, 28.03), 8},
	} {
		b := parse(t, "metno", real(t, "feeds/metno-locationforecast/"+row.file), feed.Options{Zone: row.zone})
		if len(b.Days) != row.days || len(b.Rejects) != 0 || len(b.Partial) != 2 || b.MissingValues != 0 || b.Issued.Format(time.RFC3339) != "2020-07-20T01:30:57Z" {
			t.Errorf("%s: %d days, %v, %v", row.file, len(b.Days), b.Rejects, b.Partial)
		}
		sameDays(t, row.file, b.Days[:1], []weather.Day{row.want})
	}
}
