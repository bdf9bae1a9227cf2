package stage_test

import (
	"math"
	"testing"

	"budcall/internal/stage"
)

// steady is past years at so many °C each, from the first day on.
func steady(tempC ...float64) stage.YearMeans {
	means := stage.YearMeans{}
	for i, c := range tempC {
		year := make([]float64, 365)
		for d := range year {
			year[d] = c
		}
		means[2021+i] = year
	}
	return means
}

// At 10 °C each day has 5 °C·d above 5 °C and 10 above 0 °C: whatever is needed
// above 5 °C is twice that above 0 °C, with the same spread, where both count
// from 1 March. At 15 °C it is 1.5 times. So over years of both the median is
// √3 times and what differs between the years adds to the spread: ln 2 and
// ln 1.5 lie 0.28768 apart (by hand).
func TestRequirementsAreCarriedOver(t *testing.T) {
	stages := []stage.Stage{birch(stage.BudBreak), birch(stage.FloweringOver)}
	above0 := stage.Warmth{Response: stage.AboveBase, BaseC: 0, Start: march1}
	for _, row := range []struct {
		name   string
		years  []float64
		times  float64
		addVar float64
	}{
		{"years alike", []float64{10, 10, 10, 10, 10, 10}, 2, 0},
		{"other years alike", []float64{15, 15, 15, 15, 15}, 1.5, 0},
		{"years that differ", []float64{10, 15, 10, 15, 10, 15}, math.Sqrt(3), 6 * 0.28768 * 0.28768 / 4 / 5},
	} {
		needs, ok := stage.Carry(stages, above0, steady(row.years...))
		if !ok {
			t.Fatalf("%s: not carried over", row.name)
		}
		for i, s := range stages {
			spread := math.Sqrt(s.LogSD*s.LogSD + row.addVar)
			if got := needs[i].MedianCd / s.MedianCd; !near(got/row.times, 1, 0.001) || !near(needs[i].LogSD/spread, 1, 0.001) {
				t.Errorf("%s: stage %s needs %.3f times as much with a spread of %.3f, want %.3f and %.3f", row.name, s.Code, got, needs[i].LogSD, row.times, spread)
			}
		}
	}
	for _, row := range []struct {
		name  string
		means stage.YearMeans
		to    stage.Warmth
	}{
		{"four years are too few", steady(10, 10, 10, 10), above0},
		{"years in which the stage isn't reached don't count", steady(10, 10, 10, 10, 5, 5, 5), above0},
		{"nothing comes of a heat that isn't there", steady(10, 10, 10, 10, 10, 10), stage.Warmth{Response: stage.AboveBase, BaseC: 12, Start: march1}},
		{"no years at all", nil, above0},
	} {
		if needs, ok := stage.Carry(stages, row.to, row.means); ok {
			t.Errorf("%s: %v", row.name, needs)
		}
	}
}
