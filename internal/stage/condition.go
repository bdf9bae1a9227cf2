package stage

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Known is requirements after past seasons: a Gaussian over the stage means,
// the site effects and the tree effects.
type Known struct {
	effects      Effects
	sites, trees int
	mean         []float64     // K + sites + trees
	cov          *mat.SymDense // of the same
	logLik       float64
}

// LogLikelihood is the log density of the past reports under the effects,
// everything unknown integrated out.
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
	l, err := newLearner(e, past)
	if err != nil {
		return Known{}, err
	}
	return l.condition(e)
}

// unit is one plant (or site) whose residuals share a covariance.
type unit struct{ site, tree int }

// yearGroup is one year's reports.
type yearGroup struct {
	past  []Past
	unit  []int // of each report, index into units
	units int
}

// learner is past reports in the order in which they are used.
type learner struct {
	stages, sites, trees int
	years                []yearGroup
	// of the last condition, for the M step
	solves []yearSolve
}

// yearSolve is what one year's reports contribute.
type yearSolve struct {
	inv      *mat.SymDense // V⁻¹
	residual []float64     // y − Zμ
	z        [][3]int      // columns of θ that each report sees, −1 for none
}

func newLearner(e Effects, past []Past) (*learner, error) {
	l := &learner{stages: e.Stages()}
	byYear := map[int]int{}
	unitOf := []map[unit]int{}
	for i, p := range past {
		switch {
		case p.Stage < 0 || p.Stage >= l.stages:
			return nil, fmt.Errorf("report %d is of stage %d of %d: give effects for every stage", i, p.Stage, l.stages)
		case math.IsNaN(p.LogHeat) || math.IsInf(p.LogHeat, 0):
			return nil, fmt.Errorf("report %d has no heat: leave it out", i)
		}
		l.sites, l.trees = max(l.sites, p.Site+1), max(l.trees, p.Tree+1)
		t, ok := byYear[p.Year]
		if !ok {
			t = len(l.years)
			byYear[p.Year] = t
			l.years, unitOf = append(l.years, yearGroup{}), append(unitOf, map[unit]int{})
		}
		g, key := &l.years[t], unit{p.Site, p.Tree}
		u, ok := unitOf[t][key]
		if !ok {
			u = g.units
			unitOf[t][key] = u
			g.units++
		}
		g.past, g.unit = append(g.past, p), append(g.unit, u)
	}
	return l, nil
}

func (l *learner) columns(p Past) [3]int {
	c := [3]int{p.Stage, l.stages + p.Site, -1}
	if p.Tree >= 0 {
		c[2] = l.stages + l.sites + p.Tree
	}
	return c
}

// covariance gives V of a year's reports.
func (g yearGroup) covariance(e Effects) *mat.SymDense {
	n := len(g.past)
	v := mat.NewSymDense(n, nil)
	for i, p := range g.past {
		for j := i; j < n; j++ {
			q := g.past[j]
			c := e.Year.At(p.Stage, q.Stage)
			if g.unit[i] == g.unit[j] {
				c += e.Residual.At(p.Stage, q.Stage)
			}
			if i == j {
				c += p.NoiseVar
			}
			v.SetSym(i, j, c)
		}
	}
	return v
}

var errNotPositive = errors.New("the covariances of year and residual aren't positive: give variances above 0")

func (l *learner) condition(e Effects) (Known, error) {
	dim := l.stages + l.sites + l.trees
	precision, score := mat.NewSymDense(dim, nil), make([]float64, dim)
	k := Known{effects: e, sites: l.sites, trees: l.trees}
	for i := range dim {
		v := l.priorVar(e, i)
		precision.SetSym(i, i, 1/v)
		k.logLik -= math.Log(v) / 2
	}
	l.solves = l.solves[:0]
	for _, g := range l.years {
		s, logLik, err := l.solve(g, e)
		if err != nil {
			return Known{}, err
		}
		k.logLik += logLik
		s.addTo(precision, score)
		l.solves = append(l.solves, s)
	}
	logDet, ok := invert(precision)
	if !ok {
		return Known{}, errNotPositive
	}
	k.cov, k.mean = precision, make([]float64, dim)
	mat.NewVecDense(dim, k.mean).MulVec(k.cov, mat.NewVecDense(dim, score))
	k.logLik -= logDet / 2
	for i := range k.mean {
		k.logLik += score[i] * k.mean[i] / 2
	}
	for i := range l.stages {
		k.mean[i] += e.MeanLog[i]
	}
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

// smallestVar keeps an effect that is switched off out of the way.
const smallestVar = 1e-9

func (l *learner) priorVar(e Effects, column int) float64 {
	switch {
	case column < l.stages:
		return max(smallestVar, e.MeanVar)
	case column < l.stages+l.sites:
		return max(smallestVar, e.SiteVar)
	}
	return max(smallestVar, e.TreeVar)
}

func (l *learner) solve(g yearGroup, e Effects) (yearSolve, float64, error) {
	n := len(g.past)
	s := yearSolve{inv: g.covariance(e), residual: make([]float64, n), z: make([][3]int, n)}
	logDet, ok := invert(s.inv)
	if !ok {
		return yearSolve{}, 0, errNotPositive
	}
	for i, p := range g.past {
		s.residual[i], s.z[i] = p.LogHeat-e.MeanLog[p.Stage], l.columns(p)
	}
	var square float64
	for i := range n {
		for j := range n {
			square += s.residual[i] * s.inv.At(i, j) * s.residual[j]
		}
	}
	return s, -(logDet + square + float64(n)*math.Log(2*math.Pi)) / 2, nil
}

// addTo adds ZᵀV⁻¹Z and ZᵀV⁻¹r.
func (s yearSolve) addTo(precision *mat.SymDense, score []float64) {
	for i, zi := range s.z {
		for j, zj := range s.z {
			v := s.inv.At(i, j)
			for _, a := range zi {
				if a < 0 {
					continue
				}
				score[a] += v * s.residual[j]
				for _, b := range zj {
					if b >= a {
						precision.SetSym(a, b, precision.At(a, b)+v)
					}
				}
			}
		}
	}
}
