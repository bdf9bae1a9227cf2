package degreeday_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// sineWithin is what a day's heat by the fast form of the sine may be off by,
// in °C·d for each degree between the day's extremes.
const sineWithin = 3e-9

// runOf gives a run, with the day after its last for double methods, and the
// same days one by one.
func runOf(minC, maxC, meanC []float64) (degreeday.Run, []weather.Day) {
	var days []weather.Day
	for i := range minC {
		days = append(days, weather.Day{Date: today + civil.Date(i), MinC: minC[i], MaxC: maxC[i], MeanC: meanC[i]})
	}
	return degreeday.Run{MinC: minC, MaxC: maxC, MeanC: meanC}, days
}

// Sums of a run are those of its days, by every method and cutoff.
func TestSumsOfARunAreThoseOfItsDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(1, 150).Draw(t, "days")
		method := rapid.SampledFrom(degreeday.Methods).Draw(t, "method")
		upperC := rapid.SampledFrom([]float64{none, 12, 25}).Draw(t, "upper")
		r, err := degreeday.NewRule(method, "", rapid.Float64Range(-5, 11).Draw(t, "base"), upperC)
		if err != nil {
			t.Fatal(err)
		}
		var minC, maxC, meanC []float64
		var ranges float64
		for range size + 1 {
			mean, half := rapid.Float64Range(-20, 35).Draw(t, "mean"), rapid.Float64Range(0, 15).Draw(t, "half range")
			minC, maxC, meanC = append(minC, mean-half), append(maxC, mean+half), append(meanC, mean)
		}
		run, days := runOf(minC, maxC, meanC)
		want, err := r.Accumulate(days, civil.Range{First: today, Last: today + civil.Date(size) - 1})
		if err != nil {
			t.Fatal(err)
		}
		got := make([]float64, size)
		r.Sums(got, run, math.Inf(1))
		for i, d := range want.Days {
			ranges += maxC[i] - minC[i]
			if math.Abs(got[i]-d.SumCd) > 1e-9+sineWithin*ranges {
				t.Fatalf("%s base %g upper %g, day %d: %.12g °C·d, want %.12g", method, r.BaseC, upperC, i, got[i], d.SumCd)
			}
			if i > 0 && got[i] < got[i-1] {
				t.Fatalf("%s: the sum falls from %.17g to %.17g on day %d", method, got[i-1], got[i], i)
			}
		}
	})
}

// A day at a time, from far below the base through touching it to far above,
// against the published form.
func TestFastSineAgainstThePublishedForm(t *testing.T) {
	r := mustRule(t, degreeday.Sine, "", 5, none)
	worst := 0.0
	check := func(away float64) { // of the mean above the base, in half ranges
		const half = 7
		day := weather.Day{Date: today, MinC: 5 + (away-1)*half, MaxC: 5 + (away+1)*half, MeanC: none}
		want, ok := r.Day(day, weather.Missing(today+1))
		sum := []float64{math.NaN()}
		r.Sums(sum, degreeday.Run{MinC: []float64{day.MinC}, MaxC: []float64{day.MaxC}}, math.Inf(1))
		if off := math.Abs(sum[0]-want) / (2 * half); !ok || sum[0] < 0 || !(off <= sineWithin) {
			t.Fatalf("mean %g half ranges from the base: %.15g °C·d, want %.15g", away, sum[0], want)
		} else {
			worst = max(worst, off)
		}
	}
	for i := range 40001 {
		check(float64(i)/10000 - 2)
	}
	for _, touching := range []float64{-1, 1} { // where the published form bends sharpest
		for i := range 20001 {
			check(touching + (float64(i)-10000)/1e8)
		}
	}
	t.Logf("off by %.2g °C·d a degree at most", worst)
}

func TestRunsOutOfTheOrdinary(t *testing.T) {
	const nan = "NaN"
	warm := []float64{10, 10, 10, 10}
	for _, row := range []struct {
		name        string
		method      degreeday.Method
		min, max    []float64
		enough      float64
		first, last string // of the sums
	}{
		{"days without range lie wholly above the base", degreeday.Sine, warm, warm, math.Inf(1), "5", "20"},
		{"days without range at the base give nothing", degreeday.Sine, []float64{5, 5}, []float64{5, 5}, math.Inf(1), "0", "0"},
		{"a missing maximum leaves no sum from its day on", degreeday.Sine, warm, []float64{10, 10, none, 10}, math.Inf(1), "5", nan},
		{"nor does a missing minimum on a cold day, whatever its sign bit", degreeday.Sine, []float64{10, math.Copysign(none, -1)}, []float64{10, 2}, math.Inf(1), "5", nan},
		{"no mean, no sum", degreeday.Mean, []float64{none}, []float64{none}, math.Inf(1), nan, nan},
		{"once there is enough the sum stays", degreeday.Mean, warm, warm, 9, "5", "10"},
		{"enough on the first day", degreeday.Average2, warm, warm, 5, "5", "5"},
	} {
		run := degreeday.Run{MinC: row.min, MaxC: row.max, MeanC: row.max}
		sums := make([]float64, len(row.min))
		mustRule(t, row.method, "", 5, none).Sums(sums, run, row.enough)
		if first, last := fmt.Sprint(sums[0]), fmt.Sprint(sums[len(sums)-1]); first != row.first || last != row.last {
			t.Errorf("%s: %s to %s °C·d, want %s to %s", row.name, first, last, row.first, row.last)
		}
	}
	mustRule(t, degreeday.Sine, "", 5, none).Sums(nil, degreeday.Run{}, 0) // no days, nothing to do
}

// What comes after enough is not looked at by chance: a long warm run stops
// within a few dozen days and its last sum is what all later days carry.
func TestEnoughEndsTheWork(t *testing.T) {
	minC, maxC := make([]float64, 400), make([]float64, 400)
	for i := range minC {
		minC[i], maxC[i] = 2, 18
		if i >= 100 {
			minC[i], maxC[i] = none, none // would leave no sum
		}
	}
	sums := make([]float64, len(minC))
	mustRule(t, degreeday.Sine, "", 5, none).Sums(sums, degreeday.Run{MinC: minC, MaxC: maxC}, 100)
	if last := sums[len(sums)-1]; !(last >= 100) {
		t.Errorf("the last sum is %g °C·d", last)
	}
}

func BenchmarkSums(b *testing.B) {
	minC, maxC := make([]float64, 200), make([]float64, 200)
	for i := range minC {
		c := -5 + 22*math.Sin(math.Pi*float64(i)/250) + 4*math.Sin(float64(i*i))
		minC[i], maxC[i] = c-5, c+5
	}
	sums := make([]float64, len(minC))
	for _, m := range []degreeday.Method{degreeday.Mean, degreeday.Sine, degreeday.Triangle} {
		r := mustRule(b, m, "", 5, none)
		b.Run(string(m), func(b *testing.B) {
			for b.Loop() {
				r.Sums(sums, degreeday.Run{MinC: minC, MaxC: maxC, MeanC: maxC}, math.Inf(1))
			}
		})
	}
}
