package degreeday_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/degreeday"
)

func TestReadingsOfADay(t *testing.T) {
	// Computed by hand, base 5 °C and, where there is one, upper threshold 25 °C.
	for name, c := range map[string]struct {
		cutoff degreeday.Cutoff
		upper  float64
		temps  []float64
		want   float64 // NaN: no heat
	}{
		"only what is above the base counts":                    {"", none, []float64{-3, 5, 7, 9}, 1.5},
		"exactly the base counts nothing":                       {"", none, []float64{5, 5, 5, 5}, 0},
		"horizontal: 30 counts as 25":                           {"horizontal", 25, []float64{15, 25, 30, 15}, 15},
		"intermediate: 30 counts as 20":                         {"intermediate", 25, []float64{15, 25, 30, 15}, 13.75},
		"vertical: 30 counts nothing":                           {"vertical", 25, []float64{15, 25, 30, 15}, 10},
		"intermediate: a scorching day is none, not less":       {"intermediate", 25, []float64{60, 60, 60, 60}, 0},
		"intermediate: what is taken away is taken from others": {"intermediate", 25, []float64{60, 60, 15, 35}, 0},
		"a missing reading is a missing day":                    {"", none, []float64{8, 8, none, 8, 8}, none},
		"an endless reading is a missing day":                   {"", none, []float64{8, 8, math.Inf(1), 8}, none},
		"a sentinel is a missing day":                           {"", none, []float64{8, 8, -9999, 8}, none},
		"three readings are no day":                             {"", none, []float64{8, 8, 8}, none},
		"no reading is no day":                                  {"", none, nil, none},
	} {
		t.Run(name, func(t *testing.T) {
			got, ok := mustRule(t, degreeday.Sine, c.cutoff, 5, c.upper).Readings(c.temps)
			switch {
			case math.IsNaN(c.want) && (ok || got != 0):
				t.Errorf("%g °C·d of a day that is missing", got)
			case !math.IsNaN(c.want) && (!ok || !near(got, c.want, within)):
				t.Errorf("%g (%v), want %g", got, ok, c.want)
			}
		})
	}
}

// A day that really follows a sine gives by its readings what the sine method
// gives by its extremes. The tolerance is for 24 readings of a day of up to
// 30 °C range: between two of them the temperature moves by up to 3.9 °C, and a
// bend of the rate there costs up to 3.9/(8·24) = 0.02 °C·d, twice a day, twice
// that at an intermediate cutoff. The vertical cutoff's jump costs more.
func TestReadingsAgreeWithTheCurveTheyLieOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawSingle(t)
		r.Method = degreeday.Sine
		if r.Cutoff == degreeday.Vertical {
			t.Skip("the rate jumps")
		}
		n := tenths(t, -20, 20, "minimum")
		x := n + tenths(t, 0, 30, "range")
		var hourly []float64
		for hour := range 24 {
			hourly = append(hourly, (n+x)/2-(x-n)/2*math.Cos(2*math.Pi*(float64(hour)+0.5)/24))
		}
		got, ok := r.Readings(hourly)
		if want := heat(t, r, n, x); !ok || !near(got, want, 0.125) {
			t.Fatalf("%+v, %g to %g: by readings %g (%v), by extremes %g", r, n, x, got, ok, want)
		}
	})
}

// Readings close enough together give what the closed forms give, whatever the
// cutoff: half a day on the way up stands for the whole, the way down being the
// same. The readings and their tolerances are those of the integration.
func TestDenseReadingsMeetTheClosedForms(t *testing.T) {
	curves := map[degreeday.Method]course{degreeday.Triangle: straight, degreeday.Sine: halfSine}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Custom(drawRule).Filter(func(r degreeday.Rule) bool { return curves[r.Method] != nil }).Draw(t, "rule")
		n, x := drawDay(t)
		dense := make([]float64, steps)
		for i := range dense {
			dense[i] = curves[r.Method](n, x, (float64(i)+0.5)/steps)
		}
		tolerance := toleranceCd
		if r.Cutoff == degreeday.Vertical {
			tolerance = toleranceJumpCd
		}
		got, ok := r.Readings(dense)
		if want := heat(t, r, n, x); !ok || !near(got, want, tolerance) {
			t.Fatalf("%+v, %g to %g: by readings %g (%v), by extremes %g", r, n, x, got, ok, want)
		}
	})
}
