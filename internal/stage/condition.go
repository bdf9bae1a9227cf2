package stage

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Known is requirements after past seasons: a Gaussian over the stage means,
// the site effects and the tree effects, from the prior means on.
type Known struct {
	effects      Effects
	sites, trees int
	mean         []float64     // K + sites + trees
	cov          *mat.SymDense // of the same
	logLik       float64
}

// LogLikelihood is the log density of the past reports under the effects,
// everything unknown integrated out. Of one of several groups that were learned
// from together it is that of all.
func (k Known) LogLikelihood() float64 { return k.logLik }

// Effects gives the effects that the past reports were read with: those given,
// or what Estimate made of them.
func (k Known) Effects() Effects { return k.effects }

// Condition learns from past seasons in closed form. With θ the stage means,
// site and tree effects and Z_t what of them a year's reports y_t see, years
// are independent given θ, so that
//
//	Λ = P⁻¹ + Σ Z_tᵀV_t⁻¹Z_t,  θ̂ = μ + Λ⁻¹ Σ Z_tᵀV_t⁻¹(y_t − Z_tμ)
//
// where P is the prior covariance of θ and V_t the covariance of a year's
// reports given θ: the year's effect, shared by all sites, the residuals,
// shared by the stages of one plant, and what the day leaves open. Every
// V_t and Λ goes by Cholesky.
func Condition(e Effects, past []Past) (Known, error) {
	p, err := ConditionApart(e, [][]Past{past})
	if err != nil {
		return Known{}, err
	}
	return p.Of(0)
}

var errNotPositive = errors.New("the covariances of year and residual aren't positive: give variances above 0")

// posterior solves for θ: what the reports of a group tell, and on top of it
// precision and score of the stage means from the prior and from elsewhere.
func (l *learner) posterior(e Effects, t told, means *mat.SymDense, score []float64) (Known, error) {
	k := Known{effects: e, sites: l.sites, trees: l.trees, mean: make([]float64, l.dim()), cov: mat.NewSymDense(l.dim(), nil)}
	k.cov.CopySym(t.precision)
	b := append([]float64(nil), t.score...)
	for i := range l.stages {
		b[i] += score[i]
		for j := i; j < l.stages; j++ {
			k.cov.SetSym(i, j, k.cov.At(i, j)+means.At(i, j))
		}
	}
	if _, ok := invert(k.cov); !ok {
		return Known{}, errNotPositive
	}
	mat.NewVecDense(l.dim(), k.mean).MulVec(k.cov, mat.NewVecDense(l.dim(), b))
	return k, nil
}

// invert puts the inverse of a positive matrix in its place, by Cholesky.
func invert(m *mat.SymDense) (logDet float64, ok bool) {
	t, ok := lapack64.Potrf(m.RawSymmetric())
	if !ok {
		return 0, false
	}
	for i := range t.N {
		logDet += 2 * math.Log(t.Data[i*t.Stride+i])
	}
	_, ok = lapack64.Potri(t)
	return logDet, ok
}
