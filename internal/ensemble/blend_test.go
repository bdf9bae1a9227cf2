package ensemble_test

import (
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// flat gives members that are 8, 10 and 12 °C on every day of 30 from 1 May.
func flat() ensemble.Members {
	m := ensemble.Members{From: civil.Of(2031, 5, 1), Years: []int{2028, 2029, 2030}}
	for _, c := range []float64{8, 10, 12} {
		t := make([]float64, 30)
		for i := range t {
			t[i] = c
		}
		m.TempC = append(m.TempC, t)
	}
	return m
}

// Computed by hand: c = 10 °C and σc² = (4 + 0 + 4)/3 K². On day 1 σe = 1.5 K:
// w = 2.666667/(2.666667 + 2.25) = 0.542373, √(1 − w) = 0.676481. A forecast
// of 16 °C gives 10 + 0.542373·6 − 2·0.676481 = 11.901275, then 13.254237 and
// 14.607200 °C. On day 10 σe = 4 K: w = 2.666667/18.666667 = 0.142857,
// √(1 − w) = 0.925820, and 9.005503, 10.857143, 12.708783 °C.
func TestOneDayDrawnTowardsAForecast(t *testing.T) {
	issued := civil.Of(2031, 5, 11)
	for _, row := range []struct {
		name string
		day  civil.Date
		want []float64
	}{
		{"day 1 is the day of issue itself", issued, []float64{11.901275, 13.254237, 14.607200}},
		{"day 10 is trusted far less", issued + 9, []float64{9.005503, 10.857143, 12.708783}},
	} {
		m := ensemble.Blend(flat(), []ensemble.Mean{{Date: row.day, MeanC: 16}}, issued)
		for k, want := range row.want {
			if got := m.TempC[k][row.day-m.From]; math.Abs(got-want) > 1e-6 {
				t.Errorf("%s: member %d is %.6f °C, want %.6f", row.name, k, got, want)
			}
		}
	}
}

// The season's course within ±5 days is no spread: members that all warm by
// 1 K a day and differ by ±2 K on each have σc² = 8/3 K² still.
func TestTheCourseOfTheSeasonIsNotTakenForSpread(t *testing.T) {
	m := flat()
	for _, c := range m.TempC {
		for i := range c {
			c[i] += float64(i)
		}
	}
	got := ensemble.Blend(m, []ensemble.Mean{{Date: m.From + 10, MeanC: 26}}, m.From+10)
	for k, want := range []float64{21.901275, 23.254237, 24.607200} { // as above, 10 °C warmer
		if c := got.TempC[k][10]; math.Abs(c-want) > 1e-6 {
			t.Errorf("member %d is %.6f °C, want %.6f", k, c, want)
		}
	}
}

func TestWhatAForecastLeavesAlone(t *testing.T) {
	issued := civil.Of(2031, 5, 11)
	all := func(first, last civil.Date, c float64) (means []ensemble.Mean) {
		for d := first; d <= last; d++ {
			means = append(means, ensemble.Mean{Date: d, MeanC: c})
		}
		return means
	}
	for _, row := range []struct {
		name     string
		forecast []ensemble.Mean
		changed  civil.Range
	}{
		{"nothing is forecast", nil, civil.Range{}},
		{"days before the issue stay, days after the forecast too", all(issued-5, issued+9, 16), civil.Range{First: issued, Last: issued + 9}},
		{"a mean that is no number changes nothing", all(issued, issued+3, math.NaN()), civil.Range{}},
		{"days before the members' first and after their last are nobody's", append(all(issued-40, issued-20, 16), all(issued+30, issued+40, 16)...), civil.Range{}},
	} {
		m, before := flat(), flat()
		got := ensemble.Blend(m, row.forecast, issued)
		if !reflect.DeepEqual(m, before) {
			t.Errorf("%s: the members given were changed", row.name)
		}
		for k := range got.TempC {
			for i, c := range got.TempC[k] {
				day := got.From + civil.Date(i)
				if changed := c != before.TempC[k][i]; changed != row.changed.Has(day) {
					t.Errorf("%s: member %d on %s: changed %v", row.name, k, day, changed)
				}
			}
		}
	}
	if m := ensemble.Blend(ensemble.Members{}, all(issued, issued, 16), issued); len(m.TempC) != 0 {
		t.Errorf("a forecast made members of nothing: %v", m)
	}
}

// The further ahead, the less the members' mean moves and the wider they stay.
func TestAForecastWeighsLessWithItsLead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := flat()
		f := rapid.Float64Range(11, 30).Draw(t, "forecast")
		var means []ensemble.Mean
		for lead := range 10 {
			means = append(means, ensemble.Mean{Date: m.From + 8 + civil.Date(lead), MeanC: f})
		}
		got := ensemble.Blend(m, means, m.From+8)
		mean, sd := f, 0.0
		for lead := range 10 {
			day := []float64{got.TempC[0][8+lead], got.TempC[1][8+lead], got.TempC[2][8+lead]}
			next, nextSD := stat.PopMeanStdDev(day, nil)
			if next >= mean || next <= 10 || nextSD <= sd || nextSD >= math.Sqrt(8.0/3) {
				t.Fatalf("lead %d: %g ± %g °C after %g ± %g", lead+1, next, nextSD, mean, sd)
			}
			mean, sd = next, nextSD
		}
	})
}
