package degreeday_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// steps a day is integrated in, and how far off the midpoint rule may be with
// them. The rate is continuous but for the vertical cutoff, whose jump (at most
// 30 °C high, crossed twice) costs up to a step's width each time.
const (
	steps           = 4000
	toleranceCd     = 1e-4
	toleranceJumpCd = 2 * 30.0 / steps
)

// course is the temperature at a moment of the half day from a to b, 0 to 1.
type course func(a, b, moment float64) float64

func straight(a, b, moment float64) float64 { return a + (b-a)*moment }

func halfSine(a, b, moment float64) float64 {
	return (a+b)/2 - (b-a)/2*math.Cos(math.Pi*moment)
}

// development is the rate at a temperature, told in words once more: nothing
// below the base; above the upper threshold as at it (horizontal), falling as
// fast as it rose before (intermediate), or nothing (vertical).
func development(r degreeday.Rule, c float64) float64 {
	switch {
	case c <= r.BaseC:
		return 0
	case math.IsNaN(r.UpperC) || c <= r.UpperC:
		return c - r.BaseC
	case r.Cutoff == degreeday.Horizontal:
		return r.UpperC - r.BaseC
	case r.Cutoff == degreeday.Intermediate:
		return (r.UpperC - r.BaseC) - (c - r.UpperC)
	}
	return 0
}

// integrate is the heat that a whole day at the course of one half day would
// give, clamped at 0 as the intermediate cutoff asks.
func integrate(r degreeday.Rule, curve course, a, b float64) float64 {
	var sum float64
	for i := range steps {
		sum += development(r, curve(a, b, (float64(i)+0.5)/steps))
	}
	return max(0, sum/steps)
}

// TestTheClosedFormsAreTheAreaUnderTheCurve is the second oracle: it shares
// nothing with the package but the meaning of the thresholds.
func TestTheClosedFormsAreTheAreaUnderTheCurve(t *testing.T) {
	curves := map[degreeday.Method]course{
		degreeday.Triangle: straight, degreeday.DoubleTriangle: straight,
		degreeday.Sine: halfSine, degreeday.DoubleSine: halfSine,
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Custom(drawRule).Filter(func(r degreeday.Rule) bool { return curves[r.Method] != nil }).Draw(t, "rule")
		n, x := drawDay(t)
		next := weather.Missing(today + 1)
		next.MinC = tenths(t, -40, 45, "next minimum")
		got, ok := r.Day(extremes(today, n, x), next)
		want := integrate(r, curves[r.Method], n, x)
		if r.Method.Double() {
			want = (want + integrate(r, curves[r.Method], x, next.MinC)) / 2
		}
		tolerance := toleranceCd
		if r.Cutoff == degreeday.Vertical {
			tolerance = toleranceJumpCd
		}
		if !ok || !near(got, want, tolerance) {
			t.Fatalf("%+v: %g to %g, next %g: %g (%v), by integration %g", r, n, x, next.MinC, got, ok, want)
		}
	})
}
