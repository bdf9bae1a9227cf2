package ensemble_test

import (
	"math"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// phi is the standard Gaussian's distribution by another way than the code's.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

var unknownC = math.NaN()

func dates(unit int, days ...float64) (out []ensemble.PastDate) {
	for _, d := range days {
		out = append(out, ensemble.PastDate{Unit: unit, Day: d, SoFarC: unknownC})
	}
	return out
}

func TestMeanDateAndItsSpread(t *testing.T) {
	m := ensemble.NewMeanDates(append(dates(4, 119, 121, 123), dates(7, 100, 100)...))
	// By hand: mean 121, squares 4+0+4 and 0+0 about two means, so SD² = 8/(5−2);
	// the mean of three is itself off by SD/√3.
	want := math.Sqrt(8.0/3) * math.Sqrt(4.0/3)
	if got := m.Of(4); math.Abs(got.MeanDay-121) > 1e-12 || math.Abs(got.SDDays-want) > 1e-12 {
		t.Errorf("%+v, want 121 and %.6f", got, want)
	}
	if !m.Usable(4) || m.Usable(7) || m.Usable(9) {
		t.Error("three dates make a mean date, two and none don't")
	}
	if got := ensemble.NewMeanDates(dates(0, 100, 100, 100)).Of(0).SDDays; math.Abs(got-0.5*math.Sqrt(4.0/3)) > 1e-12 {
		t.Errorf("dates that are all alike have a spread of %.4f days, want half a day and what the mean is off by", got)
	}
}

func TestADateAsADistribution(t *testing.T) {
	d := ensemble.DayNormal{MeanDay: 120, SDDays: 2}.In(2032)
	if d.From != civil.Of(2032, 1, 1) || len(d.By) != 366 {
		t.Fatalf("from %s, %d days", d.From, len(d.By))
	}
	for _, off := range []int{-3, 0, 1, 4} { // the day counts whole: to its end it is half a day past its middle
		if got, want := d.By[120+off], phi((float64(off)+0.5)/2); math.Abs(got-want) > 1e-12 {
			t.Errorf("%d days from the mean: %.6f, want %.6f", off, got, want)
		}
	}
	if got := d.DaysTo(0.5); math.Abs(got-120) > 0.01 {
		t.Errorf("the median lies %.3f days after 1 January, want 120", got)
	}
}

func TestRegressionOnTheTemperatureSoFar(t *testing.T) {
	at := func(unit int, c, day float64) ensemble.PastDate {
		return ensemble.PastDate{Unit: unit, Day: day, SoFarC: c}
	}
	line := []ensemble.PastDate{at(0, 0, 130), at(0, 1, 127), at(0, 2, 124), at(0, 3, 121), at(0, unknownC, 300)}
	for _, row := range []struct {
		name     string
		past     []ensemble.PastDate
		unit     int
		soFarC   float64
		mean, sd float64 // 0: it isn't used
	}{
		// By hand: 3 days a degree about 1.5 °C and day 125.5; no residual, so the
		// least spread of half a day, widened by 1/4 and (2.5)²/5.
		{"a warm spring is early", line, 0, 4, 118, 0.5 * math.Sqrt(1+0.25+6.25/5)},
		{"the mean temperature gives the mean date", line, 0, 1.5, 125.5, 0.5 * math.Sqrt(1.25)},
		// By hand: x −1 0 1, y −1 2 −1: no slope, residual squares 6 on 3−2 degrees of freedom.
		{"dates that don't follow temperature keep their spread", []ensemble.PastDate{at(0, 1, 119), at(0, 2, 122), at(0, 3, 119)}, 0, 2, 120, math.Sqrt(6) * math.Sqrt(4.0/3)},
		{"no temperature of this year", line, 0, unknownC, 0, 0},
		{"another unit's dates don't tell its own", line, 1, 2, 0, 0},
		{"two dates are too few", line[:2], 0, 2, 0, 0},
		{"years that were all alike have no slope", []ensemble.PastDate{at(0, 1, 119), at(0, 1, 122), at(0, 1, 119)}, 0, 1, 0, 0},
	} {
		got, ok := ensemble.Regress(row.past, row.unit, row.soFarC)
		if ok != (row.sd > 0) || math.Abs(got.MeanDay-row.mean) > 1e-9 || math.Abs(got.SDDays-row.sd) > 1e-9 {
			t.Errorf("%s: %+v %v, want %.4f %.4f", row.name, got, ok, row.mean, row.sd)
		}
	}
}

func TestTemperatureSoFar(t *testing.T) {
	for _, row := range []struct {
		name   string
		meansC []float64
		want   float64
	}{
		{"the mean", []float64{1, 2, 6}, 3},
		{"a fifth may be missing", []float64{1, 2, 3, 6, unknownC}, 3},
		{"more may not", []float64{1, 2, unknownC}, unknownC},
		{"no day, no mean", nil, unknownC},
	} {
		if got := ensemble.SoFar(row.meansC); !(math.Abs(got-row.want) < 1e-12 || math.IsNaN(got) && math.IsNaN(row.want)) {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}
