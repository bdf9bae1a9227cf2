package ensemble_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// ofMembers is the distribution of days of the year, each as likely as the others.
func ofMembers(year int, doys ...float64) ensemble.Days {
	d := ensemble.Days{From: civil.Of(year, 1, 0)}
	for i := range 200 {
		by := stat.CDF(float64(i), stat.Empirical, doys, nil)
		d.By = append(d.By, by)
	}
	return d
}

func doy(n int) civil.Date { return civil.Of(2031, 1, n) }

func TestScoreOfADayDistribution(t *testing.T) {
	for _, row := range []struct {
		name     string
		days     ensemble.Days
		observed civil.Date
		want     float64
	}{
		{"five members", ofMembers(2031, 118, 120, 121, 123, 126), doy(124), 1.68},            // computed: mean|x−y| − ½ mean|x−x'| = 2.8 − 1.12
		{"three members around the observed day", ofMembers(2031, 0, 1, 2), doy(1), 0.222222}, // computed: 2/3 − 4/9
		{"a sure day three days early costs three days", ofMembers(2031, 5), doy(8), 3},       // computed: absolute error of a point forecast, Gneiting & Raftery 2007
		{"a sure day three days late does too", ofMembers(2031, 11), doy(8), 3},
		{"a sure day that comes true costs nothing", ofMembers(2031, 8), doy(8), 0},
		{"a day before the start counts the days up to it", ensemble.Days{From: doy(10), By: []float64{1}}, doy(6), 4},                    // a point forecast
		{"a day after the horizon counts as far as there", ensemble.Days{From: doy(10), By: []float64{0.5}}, doy(13), 1},                  // by hand: 3 days before at 0.5², the day itself at 0.5²
		{"what never comes within the horizon costs the rest of it", ensemble.Days{From: doy(10), By: []float64{0, 0, 0, 0}}, doy(12), 2}, // by hand: 12 and 13 at 1²
	} {
		if got := ensemble.CRPS(row.days, row.observed); math.Abs(got-row.want) > 1e-6 {
			t.Errorf("%s: %.6f, want %.6f", row.name, got, row.want)
		}
	}
}

// For members on whole days the sum is the ensemble score
// mean|x − y| − ½ mean|x − x'|, a form that has nothing in common with it.
func TestScoreOfMembersMeetsTheirDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.SliceOfN(rapid.IntRange(1, 150), 1, 12).Draw(t, "members")
		y := rapid.IntRange(1, 199).Draw(t, "observed")
		x := make([]float64, len(days))
		for i, d := range days {
			x[i] = float64(d)
		}
		var toY, between float64
		for _, a := range x {
			toY += math.Abs(a-float64(y)) / float64(len(x))
			for _, b := range x {
				between += math.Abs(a-b) / float64(len(x)*len(x))
			}
		}
		stat.SortWeighted(x, nil)
		if got, want := ensemble.CRPS(ofMembers(2031, x...), doy(y)), toY-between/2; math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v, observed %d: %g, want %g", x, y, got, want)
		}
	})
}

// Gaussians on whole days against σ{z(2Φ(z)−1) + 2φ(z) − 1/√π} of the
// continuous score (Gneiting et al. 2005, Mon. Wea. Rev. 133:1098-1118; values
// computed from it). A day counts whole, so F is asked at its middle; what
// whole days change is below 0.02.
func TestScoreOfAGaussian(t *testing.T) {
	for _, row := range []struct {
		name      string
		mean, sd  float64
		observed  int
		wantScore float64
	}{
		{"N(120, 3) that comes true in its middle", 120, 3, 120, 0.701085},
		{"N(120, 3) four days off", 120, 3, 124, 2.561802},
		{"N(120, 7) that comes true in its middle costs more for its spread", 120, 7, 120, 1.635865},
	} {
		gaussian := distuv.Normal{Mu: row.mean, Sigma: row.sd}
		d := ensemble.Days{From: doy(1)}
		for i := range 300 {
			d.By = append(d.By, gaussian.CDF(float64(i+1)+0.5))
		}
		if got := ensemble.CRPS(d, doy(row.observed)); math.Abs(got-row.wantScore) > 0.02 {
			t.Errorf("%s: %.6f, want %.6f within 0.02", row.name, got, row.wantScore)
		}
	}
}

// No score is below 0, and only the sure day that came true scores 0.
func TestOnlyCertaintyScoresNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDays(t)
		for i, c := range d.By { // thousandths: the square of 1e-200 is 0, and nobody forecasts that
			d.By[i] = math.Round(c*1000) / 1000
		}
		if rapid.Bool().Draw(t, "sure") {
			sure := rapid.IntRange(0, len(d.By)-1).Draw(t, "sure day")
			for i := range d.By {
				d.By[i] = 0
				if i >= sure {
					d.By[i] = 1
				}
			}
		}
		observed := may3 + civil.Date(rapid.IntRange(-10, 60).Draw(t, "observed"))
		certain := d.On(observed) == 1 && d.On(observed-1) == 0
		if got := ensemble.CRPS(d, observed); got < 0 || (got == 0) != certain {
			t.Fatalf("%v, observed %s: %g", d, observed, got)
		}
	})
}

// What isn't known isn't charged; where all is known it is the plain score.
func TestScoreOfADayThatLiesBetweenVisits(t *testing.T) {
	d := ensemble.Days{From: doy(121), By: []float64{0.1, 0.3, 0.6, 0.9, 1}}
	for _, row := range []struct {
		name      string
		after, by int // days of the year
		want      float64
	}{ // by hand
		{"a day that is known", 122, 123, 0.27},
		{"two days", 121, 123, 0.18},
		{"nobody had looked before the forecast's first day", 100, 123, 0.17},
		{"seen before the forecast's first day", 100, 118, 3 + 0.81 + 0.49 + 0.16 + 0.01},
		{"not yet there after its last", 127, 128, 0.01 + 0.09 + 0.36 + 0.81 + 1 + 2},
	} {
		if got := ensemble.CRPSBetween(d, doy(row.after), doy(row.by)); math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s: %.6f, want %.6f", row.name, got, row.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		by := doy(rapid.IntRange(110, 135).Draw(t, "by"))
		if a, b := ensemble.CRPSBetween(d, by-1, by), ensemble.CRPS(d, by); math.Abs(a-b) > 1e-12 {
			t.Fatalf("%.6f of a whole day, want %.6f", a, b)
		}
	})
}
