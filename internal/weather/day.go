// Package weather is the judgement of temperatures: which days are plausible,
// which are missing, and which station's reading stands for a site.
package weather

import (
	"math"

	"budcall/internal/civil"
)

// Mark says why a reading is kept but not used. The empty mark is a reading
// that may be used.
type Mark string

// The marks a reading can carry; the word is stored, logged and counted.
const (
	Usable      Mark = ""
	OutOfRange  Mark = "out of range"     // below -60 or above 50 °C
	MinAboveMax Mark = "min above max"    // order of the extremes is impossible
	MeanOutside Mark = "mean outside"     // mean not between min and max
	Conflict    Mark = "conflicting days" // two different readings for one day in one file
	Fahrenheit  Mark = "looks like °F"    // the whole file reads as degrees Fahrenheit in a °C column

	// What only other days and other stations can tell; see Watch.
	UnlikeNeighbours Mark = "unlike its neighbours"   // the day by itself
	BesideNeighbours Mark = "drifted from neighbours" // for weeks: a sensor that drifts or was changed
	OtherDate        Mark = "another day's values"    // the neighbours' of the day before or after
	DaysInF          Mark = "days in °F"              // °C from its neighbours, °F by itself
	Stuck            Mark = "stuck"                   // the same values day after day
	Jump             Mark = "jump"                    // from one day to the next, and no neighbour to ask
	UnlikeSeason     Mark = "unlike the season"       // and no neighbour to ask
)

// Marks lists every mark but Usable, so that counters exist before the first
// reading is marked.
func Marks() []Mark {
	return []Mark{OutOfRange, MinAboveMax, MeanOutside, Conflict, Fahrenheit,
		UnlikeNeighbours, BesideNeighbours, OtherDate, DaysInF, Stuck, Jump, UnlikeSeason}
}

// ByComparison tells the marks that depend on other days or stations, so that what
// comes later may change what was said.
func (m Mark) ByComparison() bool {
	switch m {
	case UnlikeNeighbours, BesideNeighbours, OtherDate, DaysInF, Stuck, Jump, UnlikeSeason:
		return true
	}
	return false
}

// Day is one day's temperature at a station or a site, in degrees Celsius.
// NaN is a value that is missing.
type Day struct {
	Date        civil.Date
	MeanOf      MeanOf // how MeanC came about
	Provisional bool   // made of the hours that had been read by then; the final day takes its place
	MinC        float64
	MaxC        float64
	MeanC       float64
	Mark        Mark
}

// Missing is a day without any value.
func Missing(date civil.Date) Day {
	return Day{Date: date, MinC: math.NaN(), MaxC: math.NaN(), MeanC: math.NaN()}
}

// Mean gives the published daily mean, or the mid-range (min+max)/2 where no
// mean was published, and whether either is there. midRange tells which, so
// that the two are never mixed silently. A marked day has no usable mean.
func (d Day) Mean() (meanC float64, midRange, ok bool) {
	switch {
	case d.Mark != Usable:
		return math.NaN(), false, false
	case !math.IsNaN(d.MeanC):
		return d.MeanC, false, true
	case !math.IsNaN(d.MinC) && !math.IsNaN(d.MaxC):
		return (d.MinC + d.MaxC) / 2, true, true
	}
	return math.NaN(), false, false
}
