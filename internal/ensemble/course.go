package ensemble

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"budcall/internal/civil"
)

// daysOfYear is the mean length of a year, in days.
const daysOfYear = 365.25

// mostTerms are the terms of the longest yearly course: a mean and six waves.
const mostTerms = 13

// wavesOn are the waves of each day of the year, from 1 January on.
var wavesOn = func() (on [366][mostTerms]float64) {
	for i := range on {
		a := 2 * math.Pi * float64(i) / daysOfYear
		on[i][0] = 1
		for k := 1; k < mostTerms; k += 2 {
			on[i][k], on[i][k+1] = math.Cos(float64(k+1)/2*a), math.Sin(float64(k+1)/2*a)
		}
	}
	return on
}()

// waves gives 1, cos, sin, cos of twice, sin of twice … of a day's angle in the
// year. It is read only.
func waves(terms int, day civil.Date) []float64 { return wavesOn[day.YearDay()-1][:terms] }

// valueOf gives a yearly course's value on a day.
func valueOf(course []float64, day civil.Date) (v float64) {
	for i, x := range waves(len(course), day) {
		v += course[i] * x
	}
	return v
}

// courseOf fits a yearly course to days by least squares. Hardly anything is
// asked of the waves beforehand (SD 20 K), so that a few days give one too.
func courseOf(means []Mean) (course [courseTerms]float64) {
	precision, moved := mat.NewSymDense(courseTerms, nil), mat.NewVecDense(courseTerms, nil)
	for i := range courseTerms {
		precision.SetSym(i, i, 1.0/(20*20))
	}
	for _, m := range means {
		if math.IsNaN(m.MeanC) {
			continue
		}
		x := waves(courseTerms, m.Date)
		for i := range x {
			moved.SetVec(i, moved.AtVec(i)+x[i]*m.MeanC)
			for k := i; k < len(x); k++ {
				precision.SetSym(i, k, precision.At(i, k)+x[i]*x[k])
			}
		}
	}
	var chol mat.Cholesky
	var fitted mat.VecDense
	if chol.Factorize(precision) && chol.SolveVecTo(&fitted, moved) == nil {
		for i := range course {
			course[i] = fitted.AtVec(i)
		}
	}
	return course
}
