package stage

import (
	"gonum.org/v1/gonum/mat"
)

// Joint is what past seasons tell where sites lie so far apart that each has its
// own years: groups of sites that share the stage means and nothing else. With
// A_g and b_g what a group says of the stage means once its site and tree
// effects are integrated out (a Schur complement),
//
//	T = P⁻¹ + Σ A_g,  m̂ = μ + T⁻¹ Σ b_g
//
// and a group's own effects follow from its own reports given the means. It is
// the joint Gaussian of all groups, at a cost that grows with their number
// instead of its cube.
type Joint struct {
	effects  Effects
	learners []*learner
	told     []told
	means    []share
	total    share // with the prior
	logLik   float64
}

// share is what a group says of the stage means: precision and score.
type share struct {
	precision *mat.SymDense
	score     []float64
}

// ConditionApart learns from groups in closed form; see Condition for what is
// done within one. A group may be without reports.
func ConditionApart(e Effects, groups [][]Past) (*Joint, error) {
	learners, err := learnersOf(e, groups)
	if err != nil {
		return nil, err
	}
	return newJoint(e, learners)
}

func learnersOf(e Effects, groups [][]Past) ([]*learner, error) {
	learners := make([]*learner, len(groups))
	for g, past := range groups {
		var err error
		if learners[g], err = newLearner(e, past); err != nil {
			return nil, err
		}
	}
	return learners, nil
}

func newJoint(e Effects, learners []*learner) (*Joint, error) {
	prior, logDet, ok := e.meanPrecision()
	if !ok {
		return nil, errNotPositive
	}
	p := &Joint{effects: e, learners: learners, total: share{prior, make([]float64, e.Stages())}, logLik: -logDet / 2}
	for _, l := range learners {
		t, err := l.tell(e)
		if err != nil {
			return nil, err
		}
		s, logLik, err := l.ofMeans(t)
		if err != nil {
			return nil, err
		}
		p.logLik += t.logLik + logLik
		p.total.add(s, 1)
		p.told, p.means = append(p.told, t), append(p.means, s)
	}
	cov := mat.NewSymDense(e.Stages(), nil)
	cov.CopySym(p.total.precision)
	if logDet, ok = invert(cov); !ok {
		return nil, errNotPositive
	}
	p.logLik += (inner(cov, p.total.score) - logDet) / 2
	return p, nil
}

// meanPrecision is the inverse of the prior covariance of the stage means, and
// ln of the determinant of that.
func (e Effects) meanPrecision() (precision *mat.SymDense, logDet float64, ok bool) {
	precision = mat.NewSymDense(e.Stages(), nil)
	for i := range e.Stages() {
		for j := i; j < e.Stages(); j++ {
			c := e.MeanShared
			if i == j {
				c += max(smallestVar, e.MeanVar)
			}
			precision.SetSym(i, j, c)
		}
	}
	logDet, ok = invert(precision)
	return precision, logDet, ok
}

// ofMeans integrates site and tree effects out.
func (l *learner) ofMeans(t told) (share, float64, error) {
	k, n := l.stages, l.dim()-l.stages
	s := share{mat.NewSymDense(k, nil), append([]float64(nil), t.score[:k]...)}
	s.precision.CopySym(t.precision.SliceSym(0, k).(*mat.SymDense))
	if n == 0 {
		return s, 0, nil
	}
	own := mat.NewSymDense(n, nil)
	own.CopySym(t.precision.SliceSym(k, k+n).(*mat.SymDense))
	logDet, ok := invert(own)
	if !ok {
		return s, 0, errNotPositive
	}
	cross := mat.NewDense(k, n, nil) // of means and effects
	for i := range k {
		for j := range n {
			cross.Set(i, j, t.precision.At(i, k+j))
		}
	}
	var half, taken mat.Dense
	half.Mul(cross, own)
	taken.Mul(&half, cross.T())
	for i := range k {
		for j := i; j < k; j++ {
			s.precision.SetSym(i, j, s.precision.At(i, j)-(taken.At(i, j)+taken.At(j, i))/2)
		}
		for j := range n {
			s.score[i] -= half.At(i, j) * t.score[k+j]
		}
	}
	return s, (inner(own, t.score[k:]) - logDet) / 2, nil
}

// inner is bᵀ·m·b.
func inner(m *mat.SymDense, b []float64) float64 {
	v := mat.NewVecDense(len(b), b)
	return mat.Inner(v, m, v)
}

func (s share) add(o share, times float64) {
	k := len(s.score)
	for i := range k {
		s.score[i] += times * o.score[i]
		for j := i; j < k; j++ {
			s.precision.SetSym(i, j, s.precision.At(i, j)+times*o.precision.At(i, j))
		}
	}
}

// Effects gives the effects that the reports were read with.
func (p *Joint) Effects() Effects { return p.effects }

// Of gives what is known of a group's sites and trees.
func (p *Joint) Of(group int) (Known, error) {
	elsewhere := share{mat.NewSymDense(p.effects.Stages(), nil), make([]float64, p.effects.Stages())}
	elsewhere.add(p.total, 1)
	elsewhere.add(p.means[group], -1)
	k, err := p.learners[group].posterior(p.effects, p.told[group], elsewhere.precision, elsewhere.score)
	k.logLik = p.logLik
	return k, err
}

// With gives what is known of a group that isn't in it, from its own
// reports and what the others say of the stage means.
func (p *Joint) With(past []Past) (Known, error) {
	l, err := newLearner(p.effects, past)
	if err != nil {
		return Known{}, err
	}
	t, err := l.tell(p.effects)
	if err != nil {
		return Known{}, err
	}
	return l.posterior(p.effects, t, p.total.precision, p.total.score)
}
