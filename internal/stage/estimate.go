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
	l, err := newLearner(prior, past)
	if err != nil {
		return Known{}, err
	}
	e := prior
	for range w.Rounds {
		k, err := l.condition(e)
		if err != nil {
			return Known{}, err
		}
		e = l.next(prior, k, w)
	}
	return l.condition(e)
}

// next is the M step.
func (l *learner) next(prior Effects, k Known, w Weights) Effects {
	e := k.effects
	next := Effects{MeanLog: prior.MeanLog, MeanVar: prior.MeanVar}
	next.SiteVar = l.meanSquare(k, l.stages, l.sites, prior.SiteVar, w.Site)
	if l.trees > 0 {
		next.TreeVar = l.meanSquare(k, l.stages+l.sites, l.trees, prior.TreeVar, w.Tree)
	}
	year, residual := scaled(prior.Year, w.Year), scaled(prior.Residual, w.Residual)
	plants := w.Residual
	for t, g := range l.years {
		inner := l.inner(t, k)
		addSquare(year, e.Year, inner, g, -1)
		for u := range g.units {
			addSquare(residual, e.Residual, inner, g, u)
		}
		plants += float64(g.units)
	}
	next.Year, next.Residual = scaled(year, 1/(w.Year+float64(len(l.years)))), scaled(residual, 1/plants)
	return next
}

// meanSquare is the mean of the expected squares of n effects from a column on.
func (l *learner) meanSquare(k Known, from, n int, prior, weight float64) float64 {
	sum := weight * prior
	for i := from; i < from+n; i++ {
		sum += k.mean[i]*k.mean[i] + k.cov.At(i, i)
	}
	return sum / (weight + float64(n))
}

// inner gives V⁻¹·E[rrᵀ]·V⁻¹ − V⁻¹ of a year, where r is what the reports
// depart from θ: its mean and, by the covariance of θ, its spread.
func (l *learner) inner(t int, k Known) *mat.Dense {
	s := l.solves[t]
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
	for i, p := range l.years[t].past {
		r[i] = p.LogHeat - at(i)
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
