package stage

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Plant is a site, or a tree of one, as counted in Past.
type Plant struct{ Site, Tree int }

// Belief is what this season's plants need: a Gaussian over ln heat, plants by
// stages.
type Belief struct {
	stages int
	mean   []float64
	cov    *mat.SymDense
}

// Season gives the requirements of plants in a season of which nothing has
// been reported: what past seasons say, a new effect of the year, shared by
// all, and new residuals. A plant of a site that never reported has the
// effects' own spread.
func (k Known) Season(plants []Plant) Belief {
	stages := k.effects.Stages()
	n := len(plants) * stages
	b := Belief{stages: stages, mean: make([]float64, n), cov: mat.NewSymDense(n, nil)}
	columns := make([][]int, n)
	for i := range columns {
		columns[i] = k.columns(plants[i/stages], i%stages)
		b.mean[i] = k.effects.MeanLog[i%stages] + k.meanOf(columns[i])
	}
	for i := range n {
		p, s := i/stages, i%stages
		for j := i; j < n; j++ {
			q, r := j/stages, j%stages
			c := k.covOf(columns[i], columns[j]) + k.open(plants[p], plants[q]) + k.effects.Year.At(s, r)
			if p == q {
				c += k.effects.Residual.At(s, r)
			}
			b.cov.SetSym(i, j, c)
		}
	}
	return b
}

// columns gives the entries of θ that a plant's stage sees; of a plant without
// past reports only the stage mean.
func (k Known) columns(p Plant, stage int) []int {
	c := []int{stage}
	if p.Site >= 0 && p.Site < k.sites {
		c = append(c, k.effects.Stages()+p.Site)
	}
	if p.Tree >= 0 && p.Tree < k.trees {
		c = append(c, k.effects.Stages()+k.sites+p.Tree)
	}
	return c
}

func (k Known) meanOf(columns []int) (sum float64) {
	for _, c := range columns {
		sum += k.mean[c]
	}
	return sum
}

// covOf is the covariance of two plants' requirements but for the season's own
// effect and residuals.
func (k Known) covOf(a, b []int) (sum float64) {
	for _, x := range a {
		for _, y := range b {
			sum += k.cov.At(x, y)
		}
	}
	return sum
}

// open is the covariance of what no past report speaks of.
func (k Known) open(p, q Plant) (sum float64) {
	if p.Site == q.Site && p.Site >= k.sites {
		sum += k.effects.SiteVar
	}
	if p == q && p.Tree >= k.trees {
		sum += k.effects.TreeVar
	}
	return sum
}

// Of gives mean and standard deviation of a plant's ln heat for a stage.
func (b Belief) Of(plant, stage int) (mean, sd float64) {
	i := plant*b.stages + stage
	return b.mean[i], math.Sqrt(b.cov.At(i, i))
}

// Cov gives the covariance of two requirements.
func (b Belief) Cov(plant, stage, otherPlant, otherStage int) float64 {
	return b.cov.At(plant*b.stages+stage, otherPlant*b.stages+otherStage)
}

// InHeat turns a belief in units of the stages' spreads, as it comes from
// DefaultEffects, into one over ln heat.
func (b Belief) InHeat(needs []Requirement) Belief {
	out := Belief{stages: b.stages, mean: make([]float64, len(b.mean)), cov: mat.NewSymDense(len(b.mean), nil)}
	for i, m := range b.mean {
		n := needs[i%b.stages]
		out.mean[i] = math.Log(n.MedianCd) + n.LogSD*m
		for j := i; j < len(b.mean); j++ {
			out.cov.SetSym(i, j, b.cov.At(i, j)*n.LogSD*needs[j%b.stages].LogSD)
		}
	}
	return out
}

// Limit is what a report says: the ln heat of a plant's stage lies between two
// values, ±Inf for none. With Less it is about a difference instead: how much
// more heat the stage Stage needs than the stage Less, which says in which
// order they come where both count the same heat.
type Limit struct {
	Plant, Stage int
	Lo, Hi       float64
	Less         int // index of a stage plus 1; 0 for none
}

// sweeps of moment matching over all limits; each report's own part is taken
// out and put back in the light of the others, until nothing moves.
const (
	mostSweeps = 30
	still      = 1e-7
)

// factor is the Gaussian that stands for a limit.
type factor struct{ precision, shift float64 }

// Given conditions the belief on limits by Gaussian moment matching: each is
// replaced by the Gaussian factor that gives its own requirement the mean and
// the variance it has when cut at the limit, and all others move with it. One
// limit on one requirement is matched exactly; of several, each is matched
// given the factors of the rest (expectation propagation; Minka 2001).
func (b Belief) Given(limits []Limit) Belief {
	out, _ := b.matched(limits)
	return out
}

func (b Belief) matched(limits []Limit) (Belief, []factor) {
	out := Belief{stages: b.stages, mean: append([]float64(nil), b.mean...), cov: mat.NewSymDense(len(b.mean), nil)}
	out.cov.CopySym(b.cov)
	factors := make([]factor, len(limits))
	for range mostSweeps {
		var moved float64
		for i, l := range limits {
			moved = max(moved, out.match(l, &factors[i]))
		}
		if moved < still || len(limits) < 2 {
			break
		}
	}
	return out, factors
}

// Open gives what a stage of a plant needs in the light of all limits but those
// on itself, which cut its day distribution exactly: the belief given all, with
// their own factors taken out again.
func (b Belief) Open(limits []Limit) func(plant, stage int) (mean, sd float64) {
	given, factors := b.matched(limits)
	return func(plant, stage int) (mean, sd float64) {
		mean, sd = given.Of(plant, stage)
		precision, shift := 1/(sd*sd), mean/(sd*sd)
		for i, l := range limits {
			if l.Plant == plant && l.Stage == stage && l.Less == 0 {
				precision, shift = precision-factors[i].precision, shift-factors[i].shift
			}
		}
		if !(precision*b.cov.At(plant*b.stages+stage, plant*b.stages+stage) > 1e-6) {
			return mean, sd // the factors hold each other: nothing can be told apart
		}
		return shift / precision, 1 / math.Sqrt(precision)
	}
}

// match renews the factor of one limit; moved is by how many standard
// deviations that shifts its requirement.
func (b Belief) match(l Limit, f *factor) (moved float64) {
	i := l.Plant*b.stages + l.Stage
	along, m := b.column(i), b.mean[i]
	v := along[i]
	if l.Less > 0 {
		j := l.Plant*b.stages + l.Less - 1
		for n, c := range b.column(j) {
			along[n] -= c
		}
		m, v = m-b.mean[j], along[i]-along[j]
	}
	rest := 1/v - f.precision
	if !(rest > 1e-12) {
		return 0
	}
	restVar := 1 / rest
	restMean := restVar * (m/v - f.shift)
	cutMean, cutVar := cut(restMean, math.Sqrt(restVar), l.Lo, l.Hi)
	next := factor{1/cutVar - rest, cutMean/cutVar - restMean*rest}
	dp, ds := next.precision-f.precision, next.shift-f.shift
	scale := 1 / (1 + dp*v)
	for n := range b.mean {
		b.mean[n] += (ds - dp*m) * scale * along[n]
	}
	b.cov.SymRankOne(b.cov, -dp*scale, mat.NewVecDense(len(along), along))
	*f = next
	return math.Abs((ds-dp*m)*scale) * math.Sqrt(v)
}

func (b Belief) column(i int) []float64 {
	c := make([]float64, len(b.mean))
	for n := range c {
		c[n] = b.cov.At(n, i)
	}
	return c
}

// farthest is how many standard deviations off a limit may lie; a report from
// farther off is taken as if it came from there, so that one slip of the pen
// doesn't carry a whole site away.
const farthest = 6.0

// cut gives mean and variance of a Gaussian cut at two limits.
func cut(mean, sd, lo, hi float64) (cutMean, cutVar float64) {
	a, z := (lo-mean)/sd, (hi-mean)/sd
	if a > z {
		a, z = z, a
	}
	mirrored := a+z < 0 // the tail beyond which the chances are small is the upper one
	if mirrored {
		a, z = -z, -a
	}
	if off := a - farthest; off > 0 {
		a, z = a-off, z-off
	}
	var m, v float64
	if z = max(z, a+1e-6); z-a < 0.02 {
		m, v = (a+z)/2, (z-a)*(z-a)/12
	} else {
		m, v = cutStandard(a, z)
	}
	if mirrored {
		m = -m
	}
	return mean + sd*m, sd * sd * max(v, 1e-12)
}

// cutStandard is the mean and the variance of a standard Gaussian between a
// and z, a + z ≥ 0 (Johnson, Kotz & Balakrishnan 1994, section 10.1).
func cutStandard(a, z float64) (mean, variance float64) {
	tail := func(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }
	density := func(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
	chance := tail(a) - tail(z)
	da, dz := density(a), density(z)
	mean = (da - dz) / chance
	moment := 0.0
	if !math.IsInf(a, 0) {
		moment += a * da
	}
	if !math.IsInf(z, 0) {
		moment -= z * dz
	}
	return mean, 1 + moment/chance - mean*mean
}
