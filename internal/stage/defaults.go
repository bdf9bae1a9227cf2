package stage

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Requirement is the heat that a stage needs: lognormal, with a median in °C·d
// and a spread on the natural log scale.
type Requirement struct{ MedianCd, LogSD float64 }

// How the variance of a requirement parts before anything is reported, as
// shares of LogSD²: how far off the profile's median may be, and what differs
// between sites, between years, and beyond. Ours, from the leaf stages 1 to 3.5
// of yellow birch and sugar maple on the plots of Hubbard Brook, 1989 on (866
// and 831 reports, heat above 5 °C from 1 March), estimated by Estimate: sites
// 0.20 and 0.22, years 0.35 to 0.47, residuals 0.42 to 0.54; on single birches
// at Harvard Forest sites 0.13 to 0.20, years 0.57 to 0.76 and residuals 0.10
// to 0.20 (bud break). What the medians may be off is our assumption, a third of
// it each by itself and the rest all together, taken from sites and residuals:
// with no reports the spread is the profile's.
const (
	meanShare     = 0.05
	meansShare    = 0.10
	siteShare     = 0.15
	yearShare     = 0.40
	residualShare = 0.30
)

// How fast the stages of one year forget each other: between two stages that
// differ by Δ in ln heat, years' effects are correlated by exp(−Δ/1.2) and
// residuals by exp(−Δ/0.6). Ours: for neighbouring stages at Hubbard Brook
// (Δ from 0.14 to 0.38) the estimated correlations 0.79 to 0.88 and 0.50 to
// 0.83 give lengths from 1.1 to 1.8 and from 0.5 to 0.8.
const (
	yearLength     = 1.2
	residualLength = 0.6
)

// DefaultEffects gives the effects of stages of which nothing was ever
// reported, parted as above, in units of each stage's spread and from its median
// on: a requirement that is known to be less spread moves less. Reports are to
// be counted likewise (Requirement.Standard), and what is believed of a season
// is turned back by Belief.InHeat.
func DefaultEffects(needs []Requirement) Effects {
	k := len(needs)
	e := Effects{MeanLog: make([]float64, k), MeanVar: meanShare, MeanShared: meansShare, SiteVar: siteShare, Year: mat.NewSymDense(k, nil), Residual: mat.NewSymDense(k, nil)}
	for i := range k {
		for j := i; j < k; j++ {
			apart := math.Abs(math.Log(needs[i].MedianCd / needs[j].MedianCd))
			e.Year.SetSym(i, j, yearShare*math.Exp(-apart/yearLength))
			e.Residual.SetSym(i, j, residualShare*math.Exp(-apart/residualLength))
		}
	}
	return e
}

// Requirement gives what the profile says of a stage.
func (s Stage) Requirement() Requirement { return Requirement{s.MedianCd, s.LogSD} }

// Standard gives a sight in units of the spread, from the median on.
func (n Requirement) Standard(s Sight) Sight {
	s.LogHeat = (s.LogHeat - math.Log(n.MedianCd)) / n.LogSD
	s.NoiseVar /= n.LogSD * n.LogSD
	s.LogRate -= math.Log(n.LogSD)
	return s
}
