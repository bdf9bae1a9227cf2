package postgres

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func TestAPackedYearGivesItsDaysBack(t *testing.T) {
	of := func(unit float64) *rapid.Generator[float64] { // a fine year is wide, one of tenths narrow unless a day is too odd
		return rapid.OneOf(rapid.Just(math.NaN()), rapid.Map(rapid.IntRange(-6000, 5000), func(n int) float64 { return math.Round(float64(n)/100*unit) / unit }))
	}
	rapid.Check(t, func(t *rapid.T) {
		temperature := of(rapid.SampledFrom([]float64{10, 100}).Draw(t, "tenths or hundredths"))
		year := rapid.IntRange(1890, 2100).Draw(t, "year")
		methods := rapid.IntRange(1, 3).Draw(t, "methods")
		want := map[civil.Date]weather.Day{}
		var days []weather.Day
		for range rapid.IntRange(0, 40).Draw(t, "days") {
			d := weather.Day{
				Date: civil.Of(year, 1, 1) + civil.Date(rapid.IntRange(-2, 367).Draw(t, "day")),
				MinC: temperature.Draw(t, "min"), MaxC: temperature.Draw(t, "max"), MeanC: temperature.Draw(t, "mean"),
			}
			if !math.IsNaN(d.MeanC) {
				d.MeanOf = rapid.SampledFrom([]weather.MeanOf{weather.MeanUnknown, weather.MeanPublished, weather.MeanReadings}[:methods]).Draw(t, "method")
			}
			if rapid.IntRange(0, 9).Draw(t, "mark") == 0 {
				d.Mark = weather.OutOfRange
			}
			days = append(days, d)
			if d.Mark == weather.Usable && d.Date.Year() == year {
				want[d.Date] = d
			}
		}
		got, err := unpackYear(year, packYear(year, days))
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range got {
			w, there := want[d.Date]
			if !there || !alike(w, d) {
				t.Fatalf("%s came back as %+v, went in as %+v", d.Date, d, w)
			}
			delete(want, d.Date)
		}
		for _, d := range want {
			if !math.IsNaN(d.MinC) || !math.IsNaN(d.MaxC) || !math.IsNaN(d.MeanC) {
				t.Fatalf("%+v is lost", d)
			}
		}
	})
}

func alike(a, b weather.Day) bool {
	same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return a.Date == b.Date && same(a.MinC, b.MinC) && same(a.MaxC, b.MaxC) && same(a.MeanC, b.MeanC) && a.Mark == b.Mark && a.MeanOf == b.MeanOf
}

func TestTheSizeOfAPackedYear(t *testing.T) {
	// A byte each for version, layout and method, and four a day: 3 + 4·365 = 1463, in a leap year 1467 (computed by hand).
	for year, want := range map[int]int{2031: 1463, 2032: 1467, 1900: 1463, 2000: 1467} {
		if got := len(packYear(year, nil)); got != want {
			t.Errorf("%d takes %d bytes, want %d", year, got, want)
		}
	}
	leap := civil.Of(2032, 2, 29)
	got, err := unpackYear(2032, packYear(2032, []weather.Day{{Date: leap, MinC: -0.005, MaxC: 12.344, MeanC: 400}}))
	must(t, err)
	// Hundredths, rounded half away from zero: -0.005 is -0.01, 12.344 is 12.34; 400 °C can't be kept (computed by hand).
	if len(got) != 1 || got[0].Date != leap || got[0].MinC != -0.01 || got[0].MaxC != 12.34 || !math.IsNaN(got[0].MeanC) {
		t.Errorf("%+v", got)
	}
}

func TestAYearThatIsPackedOtherwiseIsRefused(t *testing.T) {
	good := packYear(2031, nil)
	for sentence, bytes := range map[string][]byte{
		"no bytes": nil, "another version": append([]byte{3}, good[1:]...), "another layout": append([]byte{2, 7}, good[2:]...), "a year of another length": packYear(2032, nil), "bytes are missing": good[:len(good)-1],
	} {
		if _, err := unpackYear(2031, bytes); err == nil || !strings.Contains(err.Error(), "year 2031") {
			t.Errorf("%s: %v", sentence, err)
		}
	}
}

func TestTheMethodsOfAYearsMeans(t *testing.T) {
	of := func(day string, m weather.MeanOf) weather.Day { d := reading(day, 7); d.MeanOf = m; return d }
	for _, row := range []struct {
		name string
		days []weather.Day
		want []weather.MeanOf
		size int // 1463, and a byte a day where there are several
	}{
		{"one method takes one byte", []weather.Day{of("2031-05-01", weather.MeanReadings), of("2031-05-02", weather.MeanReadings)}, []weather.MeanOf{weather.MeanReadings, weather.MeanReadings}, 1463},
		{"several take a byte a day", []weather.Day{of("2031-05-01", weather.MeanReadings), of("2031-05-02", weather.MeanPublished)}, []weather.MeanOf{weather.MeanReadings, weather.MeanPublished}, 1463 + 365},
		{"a corrected day brings its own", []weather.Day{of("2031-05-01", weather.MeanReadings), of("2031-05-01", weather.MeanPublished)}, []weather.MeanOf{weather.MeanPublished}, 1463},
	} {
		packed := packYear(2031, row.days)
		got, err := unpackYear(2031, packed)
		must(t, err)
		var methods []weather.MeanOf
		for _, d := range got {
			methods = append(methods, d.MeanOf)
		}
		if !slices.Equal(methods, row.want) || len(packed) != row.size {
			t.Errorf("%s: %v in %d bytes", row.name, methods, len(packed))
		}
	}
}

// What an earlier version wrote had no methods.
func TestAYearOfTheFirstVersionIsRead(t *testing.T) {
	packed := packYear(2031, []weather.Day{reading("2031-05-01", 7), reading("2031-05-02", 7.05)}) // hundredths are wide
	old := append([]byte{1}, packed[3:]...)
	got, err := unpackYear(2031, old)
	if err != nil || len(old) != 2191 || len(got) != 2 || !alike(got[0], reading("2031-05-01", 7)) {
		t.Errorf("%v %v", got, err)
	}
}

// A year is narrow where every day's values are whole tenths and the extremes
// lie less than 25.5 K from the mean, on their sides of it.
func TestWhichYearsAreNarrow(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		name string
		day  weather.Day
		want byte
	}{
		{"all three", weather.Day{MinC: -3.2, MaxC: 9.9, MeanC: 4.1}, narrow},
		{"a mean alone", weather.Day{MinC: nan, MaxC: nan, MeanC: -41.5}, narrow},
		{"extremes alone", weather.Day{MinC: -30.1, MaxC: -5.0, MeanC: nan}, narrow},
		{"a minimum alone", weather.Day{MinC: -30.1, MaxC: nan, MeanC: nan}, narrow},
		{"a maximum alone", weather.Day{MinC: nan, MaxC: -5.1, MeanC: nan}, narrow},
		{"25.4 K below", weather.Day{MinC: -25.4, MaxC: 1, MeanC: 0}, narrow},
		{"25.5 K below", weather.Day{MinC: -25.5, MaxC: 1, MeanC: 0}, wide},
		{"a mean of hundredths", weather.Day{MinC: 1, MaxC: 9, MeanC: 5.05}, wide},
		{"a mean above the maximum", weather.Day{MinC: 1, MaxC: 4.9, MeanC: 5}, wide},
		{"the hottest that can be kept", weather.Day{MinC: nan, MaxC: 300, MeanC: 300}, narrow},
		{"the coldest", weather.Day{MinC: -300, MaxC: nan, MeanC: nan}, narrow},
	} {
		row.day.Date = civil.MustParse("2031-05-01")
		packed := packYear(2031, []weather.Day{row.day})
		got, err := unpackYear(2031, packed)
		if err != nil || packed[1] != row.want || len(got) != 1 || !alike(got[0], row.day) {
			t.Errorf("%s: layout %d, %v, %v", row.name, packed[1], got, err)
		}
	}
}
