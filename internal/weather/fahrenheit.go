package weather

import (
	"fmt"
	"math"
)

// When a column of °C holds degrees Fahrenheit: all three are our assumption,
// chosen so that a few broken readings never condemn a file. 45 as °F is
// 7.2 °C, so a spring file shows itself within its first mild days; a winter
// file in °F does not, and no rule without the place's climate would tell it.
const (
	hotC          = 45.0 // warmer than any day where birches stand
	hotDaysLeast  = 3
	hotShareLeast = 0.05
	hotRangeMostK = 45.0 // a day's range above this is a spike (a failed sensor), no °F day
)

// LooksFahrenheit tells whether a whole file of days in °C is more likely
// one in °F, and says why; what to do about it, whoever knows where the days
// come from must say. It counts days whose warmest value is above 45 while their own minimum is warm too;
// at least 3 of them and 5 % of the days with a value are needed.
func LooksFahrenheit(days []Day) (reason string, looks bool) {
	var hot, valued int
	for _, d := range days {
		if d.isMissing() {
			continue
		}
		valued++
		if hotDay(d) {
			hot++
		}
	}
	if hot < hotDaysLeast || float64(hot) < hotShareLeast*float64(valued) {
		return "", false
	}
	return fmt.Sprintf("%d of %d days are above %.0f °C: the temperatures look like degrees Fahrenheit, so none is used",
		hot, valued, hotC), true
}

func hotDay(d Day) bool {
	warmest := d.MaxC
	if math.IsNaN(warmest) {
		warmest = d.MeanC
	}
	if !(warmest > hotC) || math.IsInf(warmest, 1) {
		return false
	}
	return math.IsNaN(d.MinC) || warmest-d.MinC <= hotRangeMostK
}
