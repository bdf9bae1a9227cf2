package stage

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// Input is what a stage's day distribution is issued from.
type Input struct {
	Stage    Stage
	Season   int              // the running year
	Issued   civil.Date       // readings are known up to the day before; later ones are never looked at
	Observed []weather.Day    // the running year's days, sorted
	Members  ensemble.Members // weather to come, aligned by the stage's start
	Horizon  int              // days from the stage's start on
}

// Distribution gives the chance that the stage is reached by each day:
//
//	P(d) = mean over members of Φ((ln H(d) − ln MedianCd)/LogSD)
//
// where H(d) is the heat from the stage's start through d. Days before Issued
// are as observed and shared by all members; a day whose reading is missing is
// taken from each member, so that a gap widens the forecast and is never taken
// for cold. From Issued on the days are the members'. No heat, no chance.
func Distribution(in Input) (ensemble.Days, error) {
	if err := in.check(); err != nil {
		return ensemble.Days{}, fmt.Errorf("stage %s: %w", in.Stage.Code, err)
	}
	rule, from := in.Stage.Heat.Rule, in.Members.From
	known := knownMeans(in.Observed, civil.Range{First: from, Last: in.lastKnown()})
	days := ensemble.Days{From: from, By: make([]float64, max(0, min(in.Horizon, len(in.Members.TempC[0]))))}
	shared := min(firstHole(known), len(days.By))
	var heat float64
	for i := range shared { // so far all members are one
		heat += rule.OfMean(known[i])
		days.By[i] = in.Stage.reached(heat)
	}
	n := float64(len(in.Members.TempC))
	for _, member := range in.Members.TempC {
		heat, chance := heat, in.Stage.reached(heat)
		for i := shared; i < len(days.By); i++ {
			meanC := member[i]
			if i < len(known) && !math.IsNaN(known[i]) {
				meanC = known[i]
			}
			if more := rule.OfMean(meanC); more > 0 { // a day without heat changes nothing
				heat += more
				chance = in.Stage.reached(heat)
			}
			days.By[i] += chance / n
		}
	}
	for i := range days.By {
		days.By[i] = min(1, days.By[i])
	}
	return days, nil
}

// firstHole is how many days are known from the start on without a hole.
func firstHole(known []float64) int {
	for i, c := range known {
		if math.IsNaN(c) {
			return i
		}
	}
	return len(known)
}

// lastKnown is the last day that is as observed.
func (in Input) lastKnown() civil.Date {
	return min(in.Issued, in.Members.From+civil.Date(max(0, in.Horizon))) - 1
}

// check says why there is no forecast, and what to do.
func (in Input) check() error {
	s, from := in.Stage, in.Stage.Heat.Start.In(in.Season)
	switch {
	case s.Heat.Rule.Method != degreeday.Mean:
		return fmt.Errorf("a forecast needs the method %q, and the profile says %q: the weather to come is known as daily means only; give a requirement on them", degreeday.Mean, s.Heat.Rule.Method)
	case !(s.MedianCd > 0) || math.IsInf(s.MedianCd, 1) || !(s.LogSD > 0) || math.IsInf(s.LogSD, 1):
		return fmt.Errorf("it needs %g °C·d with a log spread of %g: give numbers above 0 for both", s.MedianCd, s.LogSD)
	case len(in.Members.TempC) == 0:
		return errors.New("no past year of the site's stations is complete enough to forecast from: give a station with history, or fill its years")
	case in.Members.From != from:
		return fmt.Errorf("the past years begin on %s and the heat on %s: align them by the stage's start", in.Members.From, from)
	}
	return nil
}

// reached is the chance that a plant has had enough of a heat.
func (s Stage) reached(heatCd float64) float64 {
	if heatCd <= 0 {
		return 0
	}
	z := math.Log(heatCd/s.MedianCd) / s.LogSD
	switch { // what lies outside is less than 10⁻¹⁶ from certain
	case z > 8.3:
		return 1
	case z < -8.3:
		return 0
	}
	return distuv.UnitNormal.CDF(z)
}
