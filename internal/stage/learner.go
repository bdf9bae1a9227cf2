package stage

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// unit is one plant (or site) whose residuals share a covariance.
type unit struct{ site, tree int }

// yearGroup is one year's reports; their heat counts from the prior means on.
type yearGroup struct {
	past  []Past
	unit  []int // of each report, index into units
	units int
}

// learner is past reports that share their years' effects, in the order in
// which they are used.
type learner struct {
	stages, sites, trees int
	years                []yearGroup
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
		p.LogHeat -= e.MeanLog[p.Stage]
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

// dim is how many stage means, site effects and tree effects there are.
func (l *learner) dim() int { return l.stages + l.sites + l.trees }

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

func (l *learner) solve(g yearGroup, e Effects) (yearSolve, float64, error) {
	n := len(g.past)
	s := yearSolve{inv: g.covariance(e), residual: make([]float64, n), z: make([][3]int, n)}
	logDet, ok := invert(s.inv)
	if !ok {
		return yearSolve{}, 0, errNotPositive
	}
	for i, p := range g.past {
		s.residual[i], s.z[i] = p.LogHeat, l.columns(p)
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

// told is what the reports of a learner say: the precision and the score of its
// stage means, site and tree effects, where the prior of all but the means is
// counted.
type told struct {
	precision *mat.SymDense
	score     []float64
	logLik    float64 // of the reports at θ = μ, and the priors' parts
	solves    []yearSolve
}

func (l *learner) tell(e Effects) (told, error) {
	t := told{precision: mat.NewSymDense(l.dim(), nil), score: make([]float64, l.dim())}
	for i := l.stages; i < l.dim(); i++ {
		v := max(smallestVar, e.SiteVar)
		if i >= l.stages+l.sites {
			v = max(smallestVar, e.TreeVar)
		}
		t.precision.SetSym(i, i, 1/v)
		t.logLik -= math.Log(v) / 2
	}
	for _, g := range l.years {
		s, logLik, err := l.solve(g, e)
		if err != nil {
			return told{}, err
		}
		t.logLik += logLik
		s.addTo(t.precision, t.score)
		t.solves = append(t.solves, s)
	}
	return t, nil
}

// smallestVar keeps an effect that is switched off out of the way.
const smallestVar = 1e-9
