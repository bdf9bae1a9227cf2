package stage

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// treeShare is the part of a requirement's variance that lies between the
// trees of one site: our assumption, to be replaced by what reports show.
const treeShare = 0.2

// Earliest gives the requirement of the earliest of n trees of a site, for the
// chance that some tree is already past a stage. n below 2 changes nothing.
//
// The trees share a site and a year and differ by a Gaussian effect on the log
// scale with variance τ² = treeShare·LogSD². The least of n such effects has
// mean -τ·E and variance τ²·V, where E and V are mean and variance of the
// greatest of n standard Gaussians; the rest of the variance stays as it is.
// The sum of both is taken for Gaussian.
func Earliest(s Stage, n int) Stage {
	if n < 2 {
		return s
	}
	mean, variance := greatest(n)
	s.MedianCd *= math.Exp(-math.Sqrt(treeShare) * s.LogSD * mean)
	s.LogSD *= math.Sqrt(1 - treeShare + treeShare*variance)
	return s
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
