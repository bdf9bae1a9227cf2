package stage

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"budcall/internal/ensemble"
)

// treeShare is the part of a requirement's variance that lies between the
// trees of one site: our assumption, to be replaced by what reports show.
const treeShare = 0.2

// Earliest gives what the earliest of n trees of a site needs, for the chance
// that some tree is already past a stage; n below 2 changes nothing.
//
// The trees share a site and a year and differ by a Gaussian effect on the log
// scale with variance τ² = treeShare·LogSD². The least of n such effects has
// mean -τ·E and variance τ²·V, where E and V are mean and variance of the
// greatest of n standard Gaussians; the rest of the variance stays as it is.
// The sum of both is taken for Gaussian.
func (s Stage) Earliest(n int) func(ensemble.Need) ensemble.Need {
	if n < 2 {
		return func(need ensemble.Need) ensemble.Need { return need }
	}
	mean, variance := greatestOf(n)
	tree := treeShare * s.LogSD * s.LogSD
	return func(need ensemble.Need) ensemble.Need {
		rest := max(0, need.SD*need.SD-tree)
		return ensemble.Need{MeanLog: need.MeanLog - math.Sqrt(tree)*mean, SD: math.Sqrt(rest + tree*variance)}
	}
}

// After gives what is needed for so many °C·d more, with the same spread on the
// log scale.
func After(moreCd float64) func(ensemble.Need) ensemble.Need {
	return func(need ensemble.Need) ensemble.Need {
		return ensemble.Need{MeanLog: math.Log(max(1, math.Exp(need.MeanLog)+moreCd)), SD: need.SD}
	}
}

// greatestOf gives mean and variance of the greatest of n standard Gaussians;
// up to so many trees they are worked out once.
var greatestUpTo = sync.OnceValue(func() (of [33][2]float64) {
	for n := 2; n < len(of); n++ {
		of[n][0], of[n][1] = greatest(n)
	}
	return of
})

func greatestOf(n int) (mean, variance float64) {
	if of := greatestUpTo(); n < len(of) {
		return of[n][0], of[n][1]
	}
	return greatest(n)
}

// greatest gives mean and variance of the greatest of n standard Gaussians, by
// integrating over its density n·φ(x)·Φ(x)ⁿ⁻¹.
func greatest(n int) (mean, variance float64) {
	const tail, points = 9, 200 // what lies beyond 9 is below 1e-18 a tree
	moment := func(k int) float64 {
		return quad.Fixed(func(x float64) float64 {
			density := float64(n) * distuv.UnitNormal.Prob(x) * math.Pow(distuv.UnitNormal.CDF(x), float64(n-1))
			return math.Pow(x, float64(k)) * density
		}, -tail, tail, points, quad.Legendre{}, 0)
	}
	mean = moment(1)
	return mean, moment(2) - mean*mean
}
