package degreeday_test

import (
	"math"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// FuzzDay: whatever the numbers, a rule that was made gives a heat that is a
// number, not negative and not above the warmest value less the base, or says
// that the day is missing.
func FuzzDay(f *testing.F) {
	f.Add(0, 0, 5.0, math.NaN(), 2.0, 12.0, 7.0, 3.0)
	f.Add(7, 2, 5.0, 25.0, 8.0, 30.0, 17.0, 12.0)
	f.Add(5, 1, 5.0, 25.0, 40.0, 60.0, 50.0, 41.0)
	f.Add(6, 0, 0.1, 0.3, 0.09999999999999999, 0.30000000000000004, 0.2, 0.1)
	f.Add(5, 2, 5.0, 25.0, math.Inf(-1), math.Inf(1), math.NaN(), -9999.0)
	f.Add(3, 0, -20.0, 50.0, -1e308, 1e308, 1e-320, 0.0)
	f.Fuzz(func(t *testing.T, method, cutoff int, base, upper, minC, maxC, meanC, nextMinC float64) {
		ms, cs := degreeday.Methods, degreeday.Cutoffs
		if method < 0 || cutoff < 0 {
			t.Skip()
		}
		r, err := degreeday.NewRule(ms[method%len(ms)], cs[cutoff%len(cs)], base, upper)
		if err != nil {
			t.Skip()
		}
		date := civil.Of(2031, 5, 3)
		day := weather.Day{Date: date, MinC: minC, MaxC: maxC, MeanC: meanC}
		got, ok := r.Day(day, weather.Day{Date: date + 1, MinC: nextMinC, MaxC: math.NaN(), MeanC: math.NaN()})
		if !ok {
			if got != 0 {
				t.Errorf("%+v: %g of a missing day", r, got)
			}
			return
		}
		warmest := meanC
		if r.Method.Extremes() {
			warmest = maxC
		}
		if r.Method.Double() {
			warmest = max(maxC, nextMinC)
		}
		if most := max(0, warmest-r.BaseC); !(got >= 0 && got <= most+1e-9) || got > r.UpperC-r.BaseC+1e-9 {
			t.Errorf("%+v: %+v gives %g, outside 0 to %g", r, day, got, most)
		}
	})
}
