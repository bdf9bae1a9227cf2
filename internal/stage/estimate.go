package stage

import (
	"gonum.org/v1/gonum/mat"
)

// Weights is how many seasons, sites or plants the effects given beforehand
// count for when they are estimated: with few reports they speak, with many
// they are drowned.
type Weights struct {
	Site, Tree, Year, Residual float64
	Rounds                     int
}

// DefaultWeights let the reports speak from about a handful of seasons on: our
// assumption.
var DefaultWeights = Weights{Site: 2, Tree: 2, Year: 4, Residual: 4, Rounds: 25}

// Estimate gives the effects that make past reports likely, and what these
// then tell. It is expectation-maximisation: given effects, every year's effect,
// residual and site has an expected square given all reports (closed form);
// the next effects are the means of those, with the given ones counted as
// w.Year years and so on (the mode under an inverse Wishart prior).
func Estimate(prior Effects, past []Past, w Weights) (Known, error) {
	p, err := EstimateApart(prior, [][]Past{past}, w)
	if err != nil {
		return Known{}, err
	}
	return p.Of(0)
}

// EstimateApart is Estimate for groups that have their years to themselves; see
// Joint.
func EstimateApart(prior Effects, groups [][]Past, w Weights) (*Joint, error) {
	learners, err := learnersOf(prior, groups)
	if err != nil {
		return nil, err
	}
	e := prior
	for range w.Rounds {
		p, err := newJoint(e, learners)
		if err != nil {
			return nil, err
		}
		if e, err = p.next(prior, w); err != nil {
			return nil, err
		}
	}
	return newJoint(e, learners)
}

// tally is the expected squares of a round, and how many there are of each.
type tally struct {
	site, tree             float64
	year, residual         *mat.SymDense
	sites, trees           float64
	yearCount, plantsCount float64
}

// next is the M step.
func (p *Joint) next(prior Effects, w Weights) (Effects, error) {
	sum := tally{
		site: w.Site * prior.SiteVar, sites: w.Site, tree: w.Tree * prior.TreeVar, trees: w.Tree,
		year: scaled(prior.Year, w.Year), yearCount: w.Year, residual: scaled(prior.Residual, w.Residual), plantsCount: w.Residual,
	}
	trees := 0
	for g, l := range p.learners {
		k, err := p.Of(g)
		if err != nil {
			return Effects{}, err
		}
		l.addTo(&sum, k, p.told[g])
		trees += l.trees
	}
	next := Effects{MeanLog: prior.MeanLog, MeanVar: prior.MeanVar, MeanShared: prior.MeanShared, SiteVar: sum.site / sum.sites}
	if trees > 0 {
		next.TreeVar = sum.tree / sum.trees
	}
	next.Year, next.Residual = scaled(sum.year, 1/sum.yearCount), scaled(sum.residual, 1/sum.plantsCount)
	return next, nil
}

// addTo adds a group's expected squares.
func (l *learner) addTo(sum *tally, k Known, t told) {
	for i := l.stages; i < l.dim(); i++ {
		square := k.mean[i]*k.mean[i] + k.cov.At(i, i)
		if i < l.stages+l.sites {
			sum.site, sum.sites = sum.site+square, sum.sites+1
		} else {
			sum.tree, sum.trees = sum.tree+square, sum.trees+1
		}
	}
	for y, g := range l.years {
		inner := t.solves[y].inner(k)
		addSquare(sum.year, k.effects.Year, inner, g, -1)
		for u := range g.units {
			addSquare(sum.residual, k.effects.Residual, inner, g, u)
		}
		sum.yearCount, sum.plantsCount = sum.yearCount+1, sum.plantsCount+float64(g.units)
	}
}

// inner gives V⁻¹·E[rrᵀ]·V⁻¹ − V⁻¹ of a year, where r is what the reports
// depart from θ: its mean and, by the covariance of θ, its spread.
func (s yearSolve) inner(k Known) *mat.Dense {
	n := len(s.residual)
	at := func(i int) (sum float64) {
		for _, c := range s.z[i] {
			if c >= 0 {
				sum += k.mean[c]
			}
		}
		return sum
	}
	r := make([]float64, n)
	for i, y := range s.residual {
		r[i] = y - at(i)
	}
	rr := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			c := r[i] * r[j]
			for _, a := range s.z[i] {
				for _, b := range s.z[j] {
					if a >= 0 && b >= 0 {
						c += k.cov.At(a, b)
					}
				}
			}
			rr.SetSym(i, j, c)
		}
	}
	var left, both mat.Dense
	left.Mul(s.inv, rr)
	both.Mul(&left, s.inv)
	both.Sub(&both, s.inv)
	return &both
}

// addSquare adds the expected square of an effect with covariance c: c + c·Bᵀ·
// inner·B·c, where B tells which report sees which of its stages: all reports
// of a year, or those of one unit.
func addSquare(sum, c *mat.SymDense, inner *mat.Dense, g yearGroup, unit int) {
	k := c.SymmetricDim()
	middle := mat.NewDense(k, k, nil)
	for i, p := range g.past {
		if unit >= 0 && g.unit[i] != unit {
			continue
		}
		for j, q := range g.past {
			if unit < 0 || g.unit[j] == unit {
				middle.Set(p.Stage, q.Stage, middle.At(p.Stage, q.Stage)+inner.At(i, j))
			}
		}
	}
	var left, both mat.Dense
	left.Mul(c, middle)
	both.Mul(&left, c)
	for i := range k {
		for j := i; j < k; j++ {
			sum.SetSym(i, j, sum.At(i, j)+c.At(i, j)+(both.At(i, j)+both.At(j, i))/2)
		}
	}
}

func scaled(m *mat.SymDense, by float64) *mat.SymDense {
	out := mat.NewSymDense(m.SymmetricDim(), nil)
	out.ScaleSym(by, m)
	return out
}
