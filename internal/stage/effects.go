package stage

import (
	"gonum.org/v1/gonum/mat"
)

// Effects is what is known of the requirements of a species before any report
// of a place: means, and how much sites, trees, years and single plants in
// single years depart from them, on the natural log scale of heat. There are K
// stages. Where spreads differ much between stages, all of it is better counted
// in units of each stage's own spread, see Requirement.Standard.
type Effects struct {
	MeanLog    []float64     // prior mean of ln heat by stage, K
	MeanVar    float64       // prior variance of each stage mean, apart from the others
	MeanShared float64       // prior variance by which all stage means are off together
	SiteVar    float64       // variance of the site effect, shared by the stages
	TreeVar    float64       // variance of the tree effect, shared by the stages; 0: trees aren't told apart
	Year       *mat.SymDense // covariance of a year's effect over the stages, K×K
	Residual   *mat.SymDense // covariance of what is left of one plant in one year, K×K
}

// Stages gives K.
func (e Effects) Stages() int { return len(e.MeanLog) }

// Past is one report of a past season: the heat at which a plant was seen to
// reach a stage.
type Past struct {
	Site, Tree int // counted from 0; Tree is unique over all sites, −1 for none
	Year       int
	Stage      int     // index into the stages of Effects
	LogHeat    float64 // ln of the heat in °C·d, in the middle of the day
	NoiseVar   float64 // variance of what the days leave open: (ln H(hi) − ln H(lo))²/12
}
