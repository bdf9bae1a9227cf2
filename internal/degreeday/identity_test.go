package degreeday_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// within is the rounding allowed where two ways of computing are the same.
const within = 1e-9

// byExtremes are the methods of one day's minimum and maximum, in the order of
// the heat that they give.
var byExtremes = []degreeday.Method{degreeday.Average1, degreeday.Triangle, degreeday.Sine, degreeday.Average2}

// fourCaseAndThose adds the method whose place in the order isn't fixed.
var fourCaseAndThose = append([]degreeday.Method{degreeday.FourCase}, byExtremes...)

// tenths draws a temperature as stations give them, which makes extremes touch
// thresholds often.
func tenths(t *rapid.T, low, high int, name string) float64 {
	return float64(rapid.IntRange(low*10, high*10).Draw(t, name)) / 10
}

func drawDay(t *rapid.T) (minC, maxC float64) {
	a, b := tenths(t, -40, 45, "one extreme"), tenths(t, -40, 45, "the other")
	return min(a, b), max(a, b)
}

// drawRule draws any rule that the constructor takes.
func drawRule(t *rapid.T) degreeday.Rule {
	m := rapid.SampledFrom(degreeday.Methods).Draw(t, "method")
	c := rapid.SampledFrom(degreeday.Cutoffs).Draw(t, "cutoff")
	base := tenths(t, -5, 15, "base")
	upper := math.NaN()
	if rapid.Bool().Draw(t, "with upper") {
		upper = base + tenths(t, 1, 30, "upper above base")
	}
	r, err := degreeday.NewRule(m, c, base, upper)
	if err != nil {
		if r, err = degreeday.NewRule(m, degreeday.Horizontal, base, upper); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// drawSingle draws a rule of one day's extremes.
func drawSingle(t *rapid.T) degreeday.Rule {
	return rapid.Custom(drawRule).Filter(func(r degreeday.Rule) bool {
		return r.Method.Extremes() && !r.Method.Double()
	}).Draw(t, "rule")
}

func TestWhereTheMeanIsTheBase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base, w := tenths(t, -5, 15, "base"), tenths(t, 0, 20, "half range")
		// By the formulae at M = L, computed by hand.
		for m, want := range map[degreeday.Method]float64{
			degreeday.Average1: 0, degreeday.Average2: w / 2, degreeday.FourCase: w / 4,
			degreeday.Triangle: w / 4, degreeday.Sine: w / math.Pi,
		} {
			r := degreeday.Rule{Method: m, Cutoff: degreeday.Horizontal, BaseC: base, UpperC: none}
			if got := heat(t, r, base-w, base+w); !near(got, want, within) {
				t.Fatalf("%s: %g, want %g", m, got, want)
			}
		}
	})
}

func TestADayWhollyAboveTheBaseIsItsMeanLessTheBase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawSingle(t)
		n := r.BaseC + tenths(t, 0, 20, "minimum above base")
		x := n + tenths(t, 0, 20, "range")
		if x > r.UpperC {
			x = max(n, r.UpperC)
		}
		if n > r.UpperC {
			t.Skip("the day is above the upper threshold")
		}
		if got, want := heat(t, r, n, x), (n+x)/2-r.BaseC; !near(got, want, within) {
			t.Fatalf("%+v: %g to %g gives %g, want %g", r, n, x, got, want)
		}
	})
}

func TestThePublishedMeanAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base, meanC := tenths(t, -5, 15, "base"), tenths(t, -40, 45, "mean")
		upper := none
		if rapid.Bool().Draw(t, "with upper") {
			upper = base + tenths(t, 1, 30, "upper above base")
		}
		r := degreeday.Rule{Method: degreeday.Mean, Cutoff: degreeday.Horizontal, BaseC: base, UpperC: upper}
		d := weather.Missing(today)
		d.MeanC = meanC
		var want float64
		switch {
		case meanC > upper:
			want = upper - base
		case meanC > base:
			want = meanC - base
		}
		if got, ok := r.Day(d, weather.Missing(today+1)); !ok || !near(got, want, within) {
			t.Fatalf("%+v: a mean of %g gives %g (%v), want %g", r, meanC, got, ok, want)
		}
	})
}

func TestTheOrderOfTheMethods(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, x := drawDay(t)
		base := tenths(t, -5, 15, "base")
		before := 0.0
		for _, m := range byExtremes {
			got := heat(t, degreeday.Rule{Method: m, Cutoff: degreeday.Horizontal, BaseC: base, UpperC: none}, n, x)
			if got < before-within {
				t.Fatalf("%s gives %g °C·d, less than the method before it (%g)", m, got, before)
			}
			before = got
		}
	})
}

func TestADayWhollyAboveTheUpperThreshold(t *testing.T) {
	want := map[degreeday.Cutoff]func(r degreeday.Rule, meanC float64) float64{
		degreeday.Horizontal:   func(r degreeday.Rule, _ float64) float64 { return r.UpperC - r.BaseC },
		degreeday.Vertical:     func(degreeday.Rule, float64) float64 { return 0 },
		degreeday.Intermediate: func(r degreeday.Rule, m float64) float64 { return max(0, m-r.BaseC-2*(m-r.UpperC)) },
	}
	rapid.Check(t, func(t *rapid.T) {
		r := drawSingle(t)
		if math.IsNaN(r.UpperC) {
			t.Skip("no upper threshold")
		}
		n := r.UpperC + tenths(t, 0, 10, "minimum above upper")
		x := n + tenths(t, 0, 20, "range")
		if x == r.UpperC {
			t.Skip("the whole day is at the threshold, not above it")
		}
		if got, want := heat(t, r, n, x), want[r.Cutoff](r, (n+x)/2); !near(got, want, within) {
			t.Fatalf("%+v: %g to %g gives %g, want %g", r, n, x, got, want)
		}
	})
}

func TestTheHorizontalCutoffIsADifferenceOfTwoHeats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, x := drawDay(t)
		base := tenths(t, -5, 15, "base")
		upper := base + tenths(t, 1, 15, "upper above base")
		m := rapid.SampledFrom(fourCaseAndThose).Draw(t, "method")
		cut := heat(t, degreeday.Rule{Method: m, Cutoff: degreeday.Horizontal, BaseC: base, UpperC: upper}, n, x)
		plain := func(threshold float64) float64 {
			return heat(t, degreeday.Rule{Method: m, Cutoff: degreeday.Horizontal, BaseC: threshold, UpperC: none}, n, x)
		}
		if want := plain(base) - plain(upper); !near(cut, want, within) {
			t.Fatalf("%s, %g to %g, base %g, upper %g: %g, want %g", m, n, x, base, upper, cut, want)
		}
	})
}

func TestHeatIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRule(t)
		n, x := drawDay(t)
		next := weather.Missing(today + 1)
		next.MinC = tenths(t, -40, 45, "next minimum")
		got, ok := r.Day(weather.Day{Date: today, MinC: n, MaxC: x, MeanC: (n + x) / 2}, next)
		if !ok {
			t.Fatalf("%+v: no heat of a whole day", r)
		}
		warmest := x
		if r.Method.Double() {
			warmest = max(x, next.MinC)
		}
		if most := max(0, warmest-r.BaseC); got < 0 || got > most+within {
			t.Fatalf("%+v: %g to %g gives %g, outside 0 to %g", r, n, x, got, most)
		}
		if r.UpperC-r.BaseC < got-within {
			t.Fatalf("%+v: %g is more than the %g between the thresholds", r, got, r.UpperC-r.BaseC)
		}
		if warmest <= r.BaseC && got != 0 {
			t.Fatalf("%+v: %g on a day that never passed the base", r, got)
		}
	})
}

// Only below the upper threshold and with the horizontal cutoff does a warmer
// day always give more: the other two cutoffs take heat away again.
func TestHeatGrowsWithEitherTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawSingle(t)
		r.Cutoff = degreeday.Horizontal
		n, x := drawDay(t)
		before := heat(t, r, n, x)
		warmer := tenths(t, 0, 10, "warmer by")
		if got := heat(t, r, n, x+warmer); got < before-within {
			t.Fatalf("%+v: a maximum up from %g by %g lowers the heat from %g to %g", r, x, warmer, before, got)
		}
		if got := heat(t, r, min(n+warmer, x), x); got < before-within {
			t.Fatalf("%+v: a minimum up from %g by %g lowers the heat from %g to %g", r, n, warmer, before, got)
		}
	})
}

func TestADoubleMethodIsTheMeanOfTwoHalves(t *testing.T) {
	single := map[degreeday.Method]degreeday.Method{degreeday.DoubleSine: degreeday.Sine, degreeday.DoubleTriangle: degreeday.Triangle}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Custom(drawRule).Filter(func(r degreeday.Rule) bool { return r.Method.Double() }).Draw(t, "rule")
		n, x := drawDay(t)
		next := weather.Missing(today + 1)
		next.MinC = tenths(t, -40, 45, "next minimum")
		got, _ := r.Day(extremes(today, n, x), next)
		half := r
		half.Method = single[r.Method]
		want := (heat(t, half, n, x) + heat(t, half, min(next.MinC, x), max(next.MinC, x))) / 2
		if !near(got, want, within) {
			t.Fatalf("%+v: %g, want %g", r, got, want)
		}
		if next.MinC == n && !near(got, heat(t, half, n, x), within) {
			t.Fatalf("%+v: two like halves aren't the day", r)
		}
	})
}
