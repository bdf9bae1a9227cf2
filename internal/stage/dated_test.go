package stage_test

import (
	"math"
	"testing"

	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Days of May 2031; 1 May is day 120 of the year counted from 0 (31+28+31+30).
func TestDatesOfPastSeasons(t *testing.T) {
	stages := []stage.Stage{birch(stage.BudSwelling), birch(stage.BudBreak), birch(stage.Flowering)}
	for _, row := range []struct {
		name    string
		reports []trail.Report
		want    []stage.Dated
	}{
		{"nothing reported", nil, nil},
		{"seen on the 5th, not yet on the 1st", []trail.Report{notYet(7, 1), seen(7, 5)}, []stage.Dated{{Stage: 1, Year: 2031, After: 120, By: 124}}},
		{"seen, and nobody had looked: within a week", []trail.Report{seen(7, 15)}, []stage.Dated{{Stage: 1, Year: 2031, After: 127, By: 134}}},
		{"only not yet seen has no date", []trail.Report{notYet(7, 1)}, nil},
		{"no bud break on the 1st says so of flowers", []trail.Report{notYet(7, 1), seen(60, 11)}, []stage.Dated{{Stage: 2, Year: 2031, After: 120, By: 130}}},
		{"bud break seen on the 6th, and no flowers then", []trail.Report{notYet(7, 1), seen(7, 6), seen(60, 11)}, []stage.Dated{{Stage: 1, Year: 2031, After: 120, By: 125}, {Stage: 2, Year: 2031, After: 125, By: 130}}},
		{"a look two months before says no more than none", []trail.Report{notYet(7, -40), seen(7, 15)}, []stage.Dated{{Stage: 1, Year: 2031, After: 127, By: 134}}},
	} {
		got := stage.DatedOf(stages, 2031, row.reports)
		if len(got) != len(row.want) {
			t.Errorf("%s: %+v, want %+v", row.name, got, row.want)
			continue
		}
		for i := range got {
			if got[i] != row.want[i] {
				t.Errorf("%s: %+v, want %+v", row.name, got, row.want)
			}
		}
	}
	if got := (stage.Dated{After: 120, By: 124}).Day(); got != 122.5 { // of the four days 2 to 5 May the middle
		t.Errorf("the middle is %g", got)
	}
}

// At 10 °C 1 March is 5 °C·d, and day n of the year n − 59 + 1 days of it: after
// day 69 55 °C·d, by day 71 65; ln of the middle is (ln 55 + ln 65)/2 (by hand).
func TestSightsCountTheHeatOfTheirDays(t *testing.T) {
	stages := []stage.Stage{birch(stage.BudBreak)}
	own := []stage.Warmth{stages[0].Warmth()}
	needs := []stage.Requirement{{MedianCd: 1, LogSD: 1}}
	means := steady(10, 10)
	means[2022] = means[2022][:60]
	got := stage.Sights([]stage.Dated{{Year: 2021, After: 69, By: 71}, {Year: 2022, After: 69, By: 71}, {Year: 1999, After: 69, By: 71}}, means, own, needs)
	lo, hi := math.Log(55), math.Log(65)
	if len(got) != 1 || !near(got[0].LogHeat, (lo+hi)/2, 1e-12) || !near(got[0].NoiseVar, (hi-lo)*(hi-lo)/12, 1e-12) || got[0].Hardly {
		t.Errorf("%+v", got)
	}
	// From a day earlier to a day later, 50 to 70 °C·d over four days (by hand).
	if want := math.Log(math.Log(70.0/50) / 4); len(got) == 1 && !near(got[0].LogRate, want, 1e-12) {
		t.Errorf("ln rate %g, want %g", got[0].LogRate, want)
	}
}

func TestHolesOfASeason(t *testing.T) {
	x := math.NaN()
	for _, row := range []struct {
		name                     string
		given, bridged, carriedC []float64
	}{
		{"short", []float64{1, x, x, 4}, []float64{1, 2, 3, 4}, []float64{1, 1, 1, 4}},
		{"at the start", []float64{x, 2}, []float64{x, 2}, []float64{x, 2}},
		{"at the end", []float64{1, x}, []float64{1, x}, []float64{1, 1}},
		{"too long", []float64{1, x, x, x, x, x, x, 8}, []float64{1, x, x, x, x, x, x, 8}, []float64{1, 1, 1, 1, 1, 1, x, 8}},
	} {
		for how, got := range map[string][2][]float64{"bridged": {stage.Bridged(row.given), row.bridged}, "carried": {stage.Carried(row.given), row.carriedC}} {
			for i := range got[0] {
				if a, b := got[0][i], got[1][i]; a != b && !(math.IsNaN(a) && math.IsNaN(b)) {
					t.Errorf("a hole %s, %s: %v, want %v", row.name, how, got[0], got[1])
				}
			}
		}
	}
}
