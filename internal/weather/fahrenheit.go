package weather

import (
	"fmt"
	"math"
)

// When a column of °C holds degrees Fahrenheit: all of it is our assumption,
// chosen so that a few broken readings never condemn a file. 45 as °F is
// 7.2 °C and 32 is 0 °C, so a spring file shows itself within its first mild
// days, or nights without frost; a winter file in °F does not, and no rule
// without the place's climate would tell it.
const (
	hotC           = 45.0 // warmer than any day where birches stand
	hotShareLeast  = 0.05
	warmNightC     = 32.0 // no night there is as warm, yet one broken sensor may say so for days
	warmShareLeast = 0.2
	tooWarmLeast   = 3    // days
	hotRangeMostK  = 45.0 // a day's range above this is a spike (a failed sensor), no °F day
)

// LooksFahrenheit tells whether a whole file of days in °C is more likely
// one in °F, and says why; what to do about it, whoever knows where the days
// come from must say. It counts days whose warmest value is above 45 °C while
// their own minimum is warm too, of which at least 3 and 5 % of the days with a
// value are needed, and days whose minimum is above 32 °C: at least 3 and 20 %.
func LooksFahrenheit(days []Day) (reason string, looks bool) {
	var hot, warmNights, valued int
	for _, d := range days {
		if d.isMissing() {
			continue
		}
		valued++
		if hotDay(d) {
			hot++
		}
		if d.MinC > warmNightC && !(d.MinC > d.MaxC) && !math.IsInf(d.MinC, 1) {
			warmNights++
		}
	}
	enough := func(n int, share float64) bool { return n >= tooWarmLeast && float64(n) >= share*float64(valued) }
	const verdict = ": the temperatures look like degrees Fahrenheit, so none is used"
	switch {
	case enough(hot, hotShareLeast):
		return fmt.Sprintf("%d of %d days are above %.0f °C"+verdict, hot, valued, hotC), true
	case enough(warmNights, warmShareLeast):
		return fmt.Sprintf("%d of %d days stay above %.0f °C"+verdict, warmNights, valued, warmNightC), true
	}
	return "", false
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
