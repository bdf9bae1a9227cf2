package ensemble

import (
	"math"

	"budcall/internal/civil"
)

// PIT is the probability integral transform of an observation: how much of a
// forecast lay at or before it. What is seen is a run of days, from the day
// after the last visit that didn't find it to the one that did (a single day
// where visits are daily), and so is its transform a run of chances: Low by the
// end of the last day without it, High by the end of the day on which it was
// seen. A whole day taken for a point would make any forecast seem too wide.
type PIT struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// PITOf gives the transform of what happened after one day and no later than
// another.
func PITOf(d Days, after, by civil.Date) PIT { return PIT{d.On(after), d.On(by)} }

// Inside is the share of the observation that lies between two quantiles of
// the forecast, its chances being spread evenly: on the mean of many
// observations hi−lo if the forecast is honest.
func (p PIT) Inside(lo, hi float64) float64 {
	if p.High <= p.Low {
		if p.Low >= lo && p.Low <= hi {
			return 1
		}
		return 0
	}
	return max(0, min(hi, p.High)-max(lo, p.Low)) / (p.High - p.Low)
}

// DaysTo gives a quantile between whole days, counted from From as 0, as if
// chances rose evenly from half a day before to half a day after; +Inf where
// the horizon ends before that.
func (d Days) DaysTo(p float64) float64 {
	before := 0.0
	for i, f := range d.By {
		if f >= p {
			return float64(i) - 0.5 + (p-before)/(f-before)
		}
		before = f
	}
	return math.Inf(1)
}
