package stage

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
)

// Response is how a day's mean temperature becomes warmth.
type Response string

// The responses; see Warmth.Of for the formulae.
const (
	AboveBase Response = "above base"
	DayLength Response = "above base by day length"
	Logistic  Response = "logistic"
	ByMethod  Response = "by method" // a degree-day rule on daily means
)

// Warmth is a heat for daily means that a requirement can be fitted to. What
// each gathers is in °C·d, so that sums of 1 °C·d and below are nothing to
// speak of in any of them.
type Warmth struct {
	Response    Response
	BaseC       float64 // base of AboveBase and DayLength, centre of Logistic
	Start       civil.MonthDay
	LatitudeDeg float64        // of the place, for DayLength
	FallPerDay  float64        // by how much ln of the requirement falls from day to day; see Fallen
	Rule        degreeday.Rule // of ByMethod
}

// Of gives the warmth of a day with mean temperature T:
//
//	above base                max(0, T − base)
//	above base by day length  max(0, T − base)·(hours of day)/12
//	logistic                  10/(1 + exp(−(T − centre)/2.5))
//
// The logistic counts a day at its centre as 5 and a hot one as 10; a width of
// 2.5 K is our assumption. Long days speed flushing (Myking & Heide 1995, Tree
// Physiol. 15:697-704), in proportion here, which is our assumption too.
func (w Warmth) Of(day civil.Date, meanC float64) float64 {
	switch w.Response {
	case Logistic:
		return 10 / (1 + math.Exp(-(meanC-w.BaseC)/2.5))
	case ByMethod:
		return w.Rule.OfMean(meanC)
	case DayLength:
		return max(0, meanC-w.BaseC) * DayLengthHours(w.LatitudeDeg, day) / 12
	}
	return max(0, meanC-w.BaseC)
}

// fallFrom is the day of the year (9 April) at which a falling requirement is
// stated; it only moves means.
const fallFrom = 99

// Fallen is by how much ln of the requirement has fallen by a day, counted from
// 1 January as 0. The longer a bud has been chilled and the longer the days, the
// less heat it needs; a requirement that falls by a constant share a day stands
// for both. FallPerDay of 0 is heat alone, a great one the calendar alone.
func (w Warmth) Fallen(day int) float64 { return w.FallPerDay * float64(day-fallFrom) }

// DayLengthHours gives the time from sunrise to sunset at a latitude in
// degrees, by the declination of the sun
//
//	δ = −23.44°·cos(2π(n + 10)/365.24),  cos(ω) = −tan φ·tan δ,  hours = 24·ω/π
//
// for the day n of the year; 0 and 24 beyond the polar circles. No refraction
// and no disc of the sun: some ten minutes short of an almanac.
func DayLengthHours(latitudeDeg float64, day civil.Date) float64 {
	declination := -23.44 * math.Pi / 180 * math.Cos(2*math.Pi*(float64(day.YearDay())+10)/365.24)
	cos := -math.Tan(latitudeDeg*math.Pi/180) * math.Tan(declination)
	return 24 / math.Pi * math.Acos(max(-1, min(1, cos)))
}

// Daily gives the warmth of days in a row, the first of which is from, by
// their means; NaN stays NaN, and days before the start of the year's sum are 0.
func (w Warmth) Daily(from civil.Date, meansC []float64) []float64 {
	out := make([]float64, len(meansC))
	for i, c := range meansC {
		day := from + civil.Date(i)
		if day >= w.Start.In(from.Year()) {
			out[i] = w.Of(day, c)
		}
	}
	return out
}
