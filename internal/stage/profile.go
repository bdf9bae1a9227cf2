package stage

import (
	"fmt"

	"budcall/internal/degreeday"
)

// BBCH is a growth stage by its code in the BBCH scale, 0 to 99.
type BBCH int

// The stages that the calls of a season hang on.
const (
	BudSwelling    BBCH = 1
	BudBreak       BBCH = 7
	LeavesUnfolded BBCH = 11
	Flowering      BBCH = 60
	FullFlowering  BBCH = 65
	FloweringOver  BBCH = 69
	SeedRipe       BBCH = 89
)

// String gives the two-digit code.
func (b BBCH) String() string { return fmt.Sprintf("%02d", int(b)) }

// Stage is one stage's requirement: heat, start and sum belong together and
// are never taken from different sources.
//
// The heat that a stage needs is lognormal: ln of it is Gaussian with mean
// ln MedianCd and standard deviation LogSD.
type Stage struct {
	Code     BBCH
	Name     string         // what is seen, in plain words, as on the board
	Heat     degreeday.Heat // method, thresholds and start of the sum
	MedianCd float64        // °C·d
	LogSD    float64        // on the natural log scale
	Source   string         // where the numbers are from, or "our assumption"
}

// Profile is the stages of a species in ascending order of their codes.
type Profile struct {
	Key     string // as named in config, for example "silver-birch"
	Species string
	Stages  []Stage
	Heats   []Counting // beside the stages' own; none: that alone
}

// Find gives the stage with a code.
func (p Profile) Find(code BBCH) (Stage, bool) {
	for _, s := range p.Stages {
		if s.Code == code {
			return s, true
		}
	}
	return Stage{}, false
}
