package weather_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

var none = math.NaN()

func day(minC, maxC, meanC float64) weather.Day {
	return weather.Day{Date: civil.MustParse("2031-05-03"), MinC: minC, MaxC: maxC, MeanC: meanC}
}

func TestJudgeMarksWhatCannotBe(t *testing.T) {
	for _, row := range []struct {
		sentence string
		day      weather.Day
		want     weather.Mark
	}{
		{"an ordinary spring day is usable", day(2.1, 13.4, 7.7), weather.Usable},
		{"a day without a mean is usable", day(2.1, 13.4, none), weather.Usable},
		{"a day without any value carries no mark", day(none, none, none), weather.Usable},
		{"the ends of the range belong to it", day(-60, 50, 0), weather.Usable},
		{"colder than -60 is no reading", day(-60.1, -20, none), weather.OutOfRange},
		{"a missing-value code is no reading", day(none, none, -999), weather.OutOfRange},
		{"warmer than 50 is no reading", day(2, 50.1, none), weather.OutOfRange},
		{"infinite is no reading", day(none, math.Inf(1), none), weather.OutOfRange},
		{"a minimum above the maximum is impossible", day(9, 4, none), weather.MinAboveMax},
		{"equal extremes are possible", day(4, 4, 4), weather.Usable},
		{"a mean of other hours may lie a little outside", day(-0.3, 0.3, 0.4), weather.Usable}, // Basel, 22 January 1972
		{"a mean well below the minimum is impossible", day(5, 9, 3.9), weather.MeanOutside},
		{"a mean well above the maximum is impossible", day(none, 9, 10.1), weather.MeanOutside},
	} {
		got := weather.Judge(row.day)
		if got.Mark != row.want {
			t.Errorf("%s: marked %q, want %q", row.sentence, got.Mark, row.want)
		}
		if got.Date != row.day.Date || !same(got.MaxC, row.day.MaxC) || !same(got.MinC, row.day.MinC) || !same(got.MeanC, row.day.MeanC) {
			t.Errorf("%s: the values were changed", row.sentence)
		}
	}
	conflicting := day(9, 4, none)
	conflicting.Mark = weather.Conflict
	if got := weather.Judge(conflicting); got.Mark != weather.Conflict {
		t.Errorf("the first mark stays: %q", got.Mark)
	}
}

func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// spring is an invented 60 days from 1 March, warming from 0 to 15 °C.
func spring() []weather.Day {
	days := make([]weather.Day, 60)
	for i := range days {
		mean := float64(i) / 4
		days[i] = weather.Day{Date: civil.MustParse("2031-03-01") + civil.Date(i), MinC: mean - 5, MaxC: mean + 5, MeanC: mean}
	}
	return days
}

func TestAFileInFahrenheitIsNotUsed(t *testing.T) {
	celsius, fahrenheit, spikes, meansOnly := spring(), spring(), spring(), spring()
	for i := range fahrenheit {
		fahrenheit[i].MinC = fahrenheit[i].MinC*1.8 + 32
		fahrenheit[i].MaxC = fahrenheit[i].MaxC*1.8 + 32
		fahrenheit[i].MeanC = fahrenheit[i].MeanC*1.8 + 32
		meansOnly[i] = weather.Day{Date: meansOnly[i].Date, MinC: none, MaxC: none, MeanC: fahrenheit[i].MeanC}
		if i%10 == 0 {
			spikes[i].MaxC = 85 // what a widespread digital sensor gives when it fails (from memory)
		}
	}
	for _, row := range []struct {
		sentence string
		days     []weather.Day
		want     bool
	}{
		{"a spring in °C is what it says", celsius, false},
		{"a spring in °F is seen", fahrenheit, true},
		{"a spring of means in °F is seen", meansOnly, true},
		{"a failing sensor does not condemn the file", spikes, false},
		{"a cold spring in °F is seen by its nights without frost", nights(20, 33.5, 43), true},
		{"a sensor that stands still at 40 doesn't condemn the file", append(nights(4, 40, 40), celsius[:26]...), false},
		{"the warmest nights of the north (about 26, from memory) are what they are", nights(20, 26, 36), false},
		{"two hot days are too few to tell", fahrenheit[58:], false},
		{"nothing is nothing", nil, false},
	} {
		judged, suspicion := weather.JudgeAll(row.days)
		if (suspicion != "") != row.want {
			t.Errorf("%s: %q", row.sentence, suspicion)
		}
		for _, d := range judged {
			if _, _, usable := d.Mean(); row.want && (usable || d.Mark != weather.Fahrenheit) {
				t.Fatalf("%s: %s is still used, mark %q", row.sentence, d.Date, d.Mark)
			}
		}
	}
	reason, _ := weather.LooksFahrenheit(fahrenheit)
	// 45 °C are 113 °F; of the spring 60 days, from 32 °F of its mean on, are told in full below 113.
	if !strings.HasSuffix(reason, "days are above 45 °C: the temperatures look like degrees Fahrenheit, so none is used") {
		t.Errorf("the reason: %s", reason)
	}
	if fahrenheit[0].Mark != weather.Usable {
		t.Error("JudgeAll changed the days it was given")
	}
	judged, _ := weather.JudgeAll(spikes)
	if judged[0].Mark != weather.OutOfRange || judged[1].Mark != weather.Usable {
		t.Errorf("the spike alone is marked: %q, %q", judged[0].Mark, judged[1].Mark)
	}
}

func TestMarksAreComplete(t *testing.T) {
	seen := map[weather.Mark]bool{}
	for _, m := range weather.Marks() {
		if m == weather.Usable || seen[m] {
			t.Errorf("%q twice or no mark", m)
		}
		seen[m] = true
	}
	if len(seen) != 12 {
		t.Errorf("%d marks", len(seen))
	}
}

func TestAltitudeCostsSixAndAHalfKelvinAKilometre(t *testing.T) {
	// 300 m up is 1.95 K colder: 0.3 km × 6.5 K (computed by hand).
	got := weather.Adjust(day(2, 12, 7), 100, 400)
	for _, pair := range [][2]float64{{got.MinC, 0.05}, {got.MaxC, 10.05}, {got.MeanC, 5.05}} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%.3f, want %.3f", pair[0], pair[1])
		}
	}
	if d := weather.Adjust(day(2, 12, none), none, 400); !math.IsNaN(d.MaxC) {
		t.Error("an unknown altitude gave a temperature")
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 3000).Draw(t, "from"), rapid.Float64Range(0, 3000).Draw(t, "to")
		there := weather.Adjust(weather.Adjust(day(2, 12, 7), a, b), b, a)
		if math.Abs(there.MeanC-7) > 1e-9 || math.Abs(there.MaxC-12) > 1e-9 {
			t.Fatalf("there and back: %v", there)
		}
	})
}

// nights gives n days between two temperatures.
func nights(n int, minC, maxC float64) []weather.Day {
	days := make([]weather.Day, n)
	for i := range days {
		days[i] = weather.Day{Date: civil.Of(2031, 5, 1) + civil.Date(i), MinC: minC, MaxC: maxC, MeanC: (minC + maxC) / 2}
	}
	return days
}
