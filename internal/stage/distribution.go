package stage

import (
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
	rule := in.Stage.Heat.Rule
	if rule.Method != degreeday.Mean {
		return ensemble.Days{}, fmt.Errorf("stage %s: a forecast needs the method %q, and the profile says %q: the weather to come is known as daily means only", in.Stage.Code, degreeday.Mean, rule.Method)
	}
	if len(in.Members.TempC) == 0 {
		return ensemble.Days{}, fmt.Errorf("stage %s: no past year of the site's stations is complete enough to forecast from: give a station with history, or fill its years", in.Stage.Code)
	}
	from := in.Stage.Heat.Start.In(in.Season)
	if in.Members.From != from {
		return ensemble.Days{}, fmt.Errorf("stage %s: the past years begin on %s and the heat on %s: align them by the stage's start", in.Stage.Code, in.Members.From, from)
	}
	known := knownMeans(in.Observed, from, in.Issued, in.Horizon)
	days := ensemble.Days{From: from, By: make([]float64, max(0, min(in.Horizon, len(in.Members.TempC[0]))))}
	for _, member := range in.Members.TempC {
		var heat float64
		for i := range days.By {
			meanC := member[i]
			if i < len(known) && !math.IsNaN(known[i]) {
				meanC = known[i]
			}
			heat += rule.OfMean(meanC)
			days.By[i] += in.Stage.reached(heat)
		}
	}
	for i := range days.By {
		days.By[i] = min(1, days.By[i]/float64(len(in.Members.TempC)))
	}
	return days, nil
}

// reached is the chance that a plant has had enough of a heat.
func (s Stage) reached(heatCd float64) float64 {
	if heatCd <= 0 {
		return 0
	}
	return distuv.UnitNormal.CDF((math.Log(heatCd) - math.Log(s.MedianCd)) / s.LogSD)
}

// knownMeans gives the observed means from the start up to the day before
// issued, NaN where one is missing.
func knownMeans(observed []weather.Day, from, issued civil.Date, horizon int) []float64 {
	n := max(0, min(int(issued-from), horizon))
	known := make([]float64, n)
	for i := range known {
		known[i] = math.NaN()
	}
	for _, d := range observed {
		if i := int(d.Date - from); i >= 0 && i < n {
			if c, _, ok := d.Mean(); ok {
				known[i] = c
			}
		}
	}
	return known
}

// HeatSoFar gives the heat from the stage's start through a day, in °C·d, and
// how many of its days have no reading; these add nothing.
func HeatSoFar(s Stage, season int, observed []weather.Day, through civil.Date) (heatCd float64, missing int) {
	from := s.Heat.Start.In(season)
	for _, c := range knownMeans(observed, from, through+1, max(0, int(through-from)+1)) {
		if math.IsNaN(c) {
			missing++
			continue
		}
		heatCd += s.Heat.Rule.OfMean(c)
	}
	return heatCd, missing
}

// Shift gives a stage that is reached after so many °C·d more.
func Shift(s Stage, afterCd float64) Stage {
	s.MedianCd += afterCd
	return s
}
