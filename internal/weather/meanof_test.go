package weather_test

import (
	"math"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func TestWhereAStationsMeansChangeTheirMethod(t *testing.T) {
	nan := math.NaN()
	mean := func(date string, of weather.MeanOf) weather.Day {
		return weather.Day{Date: civil.MustParse(date), MinC: 1, MaxC: 9, MeanC: 4, MeanOf: of}
	}
	middle := weather.Day{Date: civil.MustParse("2031-04-19"), MinC: 1, MaxC: 9, MeanC: nan}
	unused := middle
	unused.Mark = weather.Conflict
	for _, row := range []struct {
		sentence string
		days     []weather.Day
		mixed    bool
		then     string
	}{
		{"one method", []weather.Day{mean("2031-04-18", weather.MeanPublished), mean("2031-04-20", weather.MeanPublished)}, false, ""},
		{"a mean that is missing is put in the middle of the extremes", []weather.Day{mean("2031-04-18", weather.MeanPublished), middle, mean("2031-04-20", weather.MeanPublished)}, true, "2031-04-19"},
		{"a day that isn't used mixes nothing", []weather.Day{mean("2031-04-18", weather.MeanPublished), unused, mean("2031-04-20", weather.MeanPublished)}, false, ""},
		{"published, then of readings", []weather.Day{mean("2031-04-18", weather.MeanPublished), mean("2031-04-20", weather.MeanReadings)}, true, "2031-04-20"},
		{"days of which nothing is known agree with every method", []weather.Day{mean("2031-04-17", weather.MeanUnknown), mean("2031-04-18", weather.MeanPublished), mean("2031-04-20", weather.MeanUnknown)}, false, ""},
		{"extremes alone, all the year", []weather.Day{middle}, false, ""},
	} {
		m, mixed := weather.MixedMeans(row.days)
		if mixed != row.mixed || mixed && m.Then.Date.String() != row.then {
			t.Errorf("%s: %v, %+v", row.sentence, mixed, m)
		}
	}
	for _, of := range []weather.MeanOf{weather.MeanUnknown, weather.MeanPublished, weather.MeanReadings, weather.MeanStated, weather.MeanMidRange} {
		if got := weather.MeanOfWords(of.String()); got != of {
			t.Errorf("%d is stored as %q, which is %d", of, of, got)
		}
	}
	if weather.MeanOfWords("by guess") != weather.MeanUnknown || weather.MeanOf(99).String() != "" {
		t.Error("words that nobody knows are taken for a method")
	}
}
