package postgres

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

func TestAPackedYearGivesItsDaysBack(t *testing.T) {
	temperature := rapid.OneOf(rapid.Just(math.NaN()), rapid.Map(rapid.IntRange(-6000, 5000), func(n int) float64 { return float64(n) / 100 }))
	rapid.Check(t, func(t *rapid.T) {
		year := rapid.IntRange(1890, 2100).Draw(t, "year")
		want := map[civil.Date]weather.Day{}
		var days []weather.Day
		for range rapid.IntRange(0, 40).Draw(t, "days") {
			d := weather.Day{
				Date: civil.Of(year, 1, 1) + civil.Date(rapid.IntRange(-2, 367).Draw(t, "day")),
				MinC: temperature.Draw(t, "min"), MaxC: temperature.Draw(t, "max"), MeanC: temperature.Draw(t, "mean"),
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
	return a.Date == b.Date && same(a.MinC, b.MinC) && same(a.MaxC, b.MaxC) && same(a.MeanC, b.MeanC) && a.Mark == b.Mark
}

func TestTheSizeOfAPackedYear(t *testing.T) {
	// One version byte and six bytes a day: 1 + 6·365 = 2191, in a leap year 2197 (computed by hand).
	for year, want := range map[int]int{2031: 2191, 2032: 2197, 1900: 2191, 2000: 2197} {
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
		"no bytes": nil, "another version": append([]byte{2}, good[1:]...), "bytes are missing": good[:len(good)-1],
	} {
		if _, err := unpackYear(2031, bytes); err == nil || !strings.Contains(err.Error(), "year 2031") {
			t.Errorf("%s: %v", sentence, err)
		}
	}
}
