package degreeday

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// The start of the thermal growing season by the index of growing season
// length of the ETCCDI (expert team on climate change detection and indices):
// the first span of at least 6 days with a daily mean above 5 °C.
const (
	growingDays       = 6
	growingThresholdC = 5.0
)

// GrowingSeasonStart gives the first day of the thermal growing season of a
// year: the first of the first six days in a row, from 1 January on, whose mean
// is above 5 °C. The index leaves exactly 5.0 °C to neither side; here it is
// not above. days is sorted by date, and may reach beyond the year.
//
// The mean is the published one; only in a year for which not a single mean is
// given does (min+max)/2 stand for it, so that the two are never mixed.
//
// ok is false if no such span is there yet, and also if one with missing days
// in it would come first: where six warm days may have been missed, the start
// isn't known, and the first span seen would be later than the true one.
func GrowingSeasonStart(days []weather.Day, year int) (first civil.Date, ok bool) {
	means := meansOf(days, year)
	warm, maybe := 0, 0 // days in a row that are warm; that are warm or missing
	next := civil.Of(year, 1, 1)
	for _, d := range days {
		if d.Date.Year() != year {
			continue
		}
		maybe += int(d.Date - next)
		if d.Date > next {
			warm = 0
		}
		if maybe >= growingDays {
			return 0, false // the days missing among them may have been warm
		}
		switch meanC := means(d); {
		case math.IsNaN(meanC):
			warm, maybe = 0, maybe+1
		case meanC > growingThresholdC:
			warm, maybe = warm+1, maybe+1
		default:
			warm, maybe = 0, 0
		}
		if warm == growingDays {
			return d.Date - growingDays + 1, true
		}
		next = d.Date + 1
	}
	return 0, false
}

// meansOf gives the function that tells a day's mean in the year, NaN if it is
// missing: the published means if the year has any, else the mid-ranges.
func meansOf(days []weather.Day, year int) func(weather.Day) float64 {
	for _, d := range days {
		if d.Date.Year() == year && d.Mark == weather.Usable && !math.IsNaN(d.MeanC) {
			return func(d weather.Day) float64 {
				meanC, midRange, _ := d.Mean()
				if midRange {
					return math.NaN()
				}
				return meanC
			}
		}
	}
	return func(d weather.Day) float64 {
		meanC, _, _ := d.Mean()
		return meanC
	}
}
