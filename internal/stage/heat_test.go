package stage_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

func TestHeatSoFar(t *testing.T) {
	days := daily(firstOfMarch-10, 40, func(i int) float64 { return []float64{9, 9, 4, math.NaN()}[i%4] })
	for _, row := range []struct {
		name    string
		through civil.Date
		heatCd  float64 // by hand
		missing int
	}{
		{"before the start there is none", firstOfMarch - 1, 0, 0},
		{"long before the start neither", firstOfMarch - 50, 0, 0},
		{"the start itself counts: 4 °C on 1 March bring nothing", firstOfMarch, 0, 0},
		{"2 March is missing and adds nothing", firstOfMarch + 1, 0, 1},
		{"3 March adds 4 °C·d", firstOfMarch + 2, 4, 1},
		{"30 days: 14 of 9 °C, 8 of 4 °C, 8 missing", firstOfMarch + 29, 56, 8},
		{"days that haven't come are missing", firstOfMarch + 34, 56, 13},
	} {
		if heatCd, missing := stage.HeatSoFar(birch(stage.BudBreak), 2031, days, row.through); heatCd != row.heatCd || missing != row.missing {
			t.Errorf("%s: %g °C·d, %d missing; want %g and %d", row.name, heatCd, missing, row.heatCd, row.missing)
		}
	}
}

// Other methods take what they need of the extremes; each of four days is 2 to
// 12 °C and no mean is published. By hand, above 5 °C a day: average1
// (2+12)/2 − 5 = 2; average2 (5+12)/2 − 5 = 3.5; triangle 7·7/(2·10) = 2.45, and
// so the double one while all nights are alike.
func TestHeatSoFarByEachMethod(t *testing.T) {
	days := daily(firstOfMarch, 6, func(int) float64 { return math.NaN() })
	for i := range days {
		days[i].MinC, days[i].MaxC = 2, 12
	}
	without := slices.Clone(days)
	without[1].MaxC = math.NaN()
	for _, row := range []struct {
		name    string
		method  degreeday.Method
		days    []weather.Day
		heatCd  float64
		missing int
	}{
		{"mean stands by the mid-range where no mean is published", degreeday.Mean, days, 8, 0},
		{"average1", degreeday.Average1, days, 8, 0},
		{"average2", degreeday.Average2, days, 14, 0},
		{"triangle", degreeday.Triangle, days, 9.8, 0},
		{"a maximum that is missing leaves its day out", degreeday.Average2, without, 10.5, 1},
		{"double-triangle looks at no later day and misses the last", degreeday.DoubleTriangle, days, 7.35, 1},
	} {
		s := birch(stage.BudBreak)
		s.Heat.Rule.Method = row.method
		heatCd, missing := stage.HeatSoFar(s, 2031, row.days, firstOfMarch+3)
		if !near(heatCd, row.heatCd, 1e-9) || missing != row.missing {
			t.Errorf("%s: %g °C·d, %d missing; want %g and %d", row.name, heatCd, missing, row.heatCd, row.missing)
		}
	}
}

// Whatever the method, days after the one asked for change nothing.
func TestHeatSoFarLooksAtNoLaterDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		temps := rapid.SliceOfN(rapid.Float64Range(-10, 25), 90, 90).Draw(t, "temperatures")
		days := daily(firstOfMarch, 30, func(i int) float64 { return temps[i] })
		for i := range days {
			days[i].MinC, days[i].MaxC = min(temps[30+i], temps[60+i]), max(temps[30+i], temps[60+i])
		}
		s := birch(stage.BudBreak)
		s.Heat.Rule.Method = rapid.SampledFrom(degreeday.Methods).Draw(t, "method")
		through := firstOfMarch + civil.Date(rapid.IntRange(-2, 29).Draw(t, "through"))
		heatCd, missing := stage.HeatSoFar(s, 2031, days, through)
		for i := range days {
			if days[i].Date > through {
				days[i].MinC, days[i].MaxC, days[i].MeanC = -40, 45, 3
			}
		}
		if after, lacking := stage.HeatSoFar(s, 2031, days, through); after != heatCd || lacking != missing {
			t.Fatalf("%s through %s: %g °C·d, then %g", s.Heat.Rule.Method, through, heatCd, after)
		}
	})
}

func TestMeansOfReadings(t *testing.T) {
	days := daily(firstOfMarch, 4, func(i int) float64 { return []float64{7, 60, math.NaN(), math.NaN()}[i] })
	days[1].Mark = weather.OutOfRange
	days[3].MinC, days[3].MaxC = 6, 16
	want := []ensemble.Mean{{Date: firstOfMarch, MeanC: 7}, {Date: firstOfMarch + 3, MeanC: 11}}
	if got := stage.Means(days); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v: marked and empty days left out, the mid-range for the last", got, want)
	}
}

// Seed that is shed 100 °C·d after it is ripe needs 950 at the median.
func TestAfterSomeMoreHeat(t *testing.T) {
	shed := stage.After(100)(ensemble.Need{MeanLog: math.Log(850), SD: 0.08})
	if !near(math.Exp(shed.MeanLog), 950, 1e-9) || shed.SD != 0.08 {
		t.Errorf("%g °C·d, spread %g", math.Exp(shed.MeanLog), shed.SD)
	}
}
