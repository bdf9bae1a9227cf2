package weather

import "math"

// The gross range of a day's temperature in °C: outside it no value is taken
// for a reading. Measuring-network limits run from -50…+50 (ZAMG, WMO
// CBS/ET-AWS-1 Doc 9(2), 2002) to -80…+60; -60…50 is our assumption for
// places where trees are bred.
const (
	LowestC  = -60.0
	HighestC = 50.0
)

// MeanSlackK is how far a published mean may lie outside the extremes: it is
// often the mean of other hours, or of a formula, and rounded. Our
// assumption; in 45,000 days of two open series eight means lie outside, one
// of them by more than 1 K.
const MeanSlackK = 1.0

// Judge marks a day whose values cannot be: outside the gross range, minimum
// above maximum, or mean not between them (within MeanSlackK). The values stay as they are. A
// missing value is in no relation to anything, and a mark already there (such
// as Conflict) stays: the first reason is the one that is told.
func Judge(d Day) Day {
	switch {
	case d.Mark != Usable:
	case outOfRange(d.MinC) || outOfRange(d.MaxC) || outOfRange(d.MeanC):
		d.Mark = OutOfRange
	case d.MinC > d.MaxC:
		d.Mark = MinAboveMax
	case d.MeanC < d.MinC-MeanSlackK || d.MeanC > d.MaxC+MeanSlackK:
		d.Mark = MeanOutside
	}
	return d
}

// outOfRange is false for a missing value.
func outOfRange(c float64) bool { return c < LowestC || c > HighestC }

// JudgeAll judges the days of one file or answer, first as a whole for the
// wrong unit, then each by itself. suspicion is empty, or the sentence that
// says why every day was marked Fahrenheit. The days given are left alone.
func JudgeAll(days []Day) (judged []Day, suspicion string) {
	judged = make([]Day, len(days))
	suspicion, wrongUnit := LooksFahrenheit(days)
	for i, d := range days {
		if wrongUnit && d.Mark == Usable && !d.isMissing() {
			d.Mark = Fahrenheit
		}
		judged[i] = Judge(d)
	}
	return judged, suspicion
}

// isMissing reports whether the day holds no value at all.
func (d Day) isMissing() bool {
	return math.IsNaN(d.MinC) && math.IsNaN(d.MaxC) && math.IsNaN(d.MeanC)
}
