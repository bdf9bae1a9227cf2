package hindcast

import (
	"math"

	"budcall/internal/ensemble"
)

// calendar is the mean date of each unit and its spread, from other years.
type calendar struct {
	mean map[int]float64 // days since 1 January, by unit
	n    map[int]float64
	all  ensemble.MeanDates
}

// fewestYears is how many other years a unit needs to have a mean date.
const fewestYears = ensemble.LeastDates

func newCalendar(train []sight) calendar {
	past := make([]ensemble.PastDate, len(train))
	for i, s := range train {
		past[i] = ensemble.PastDate{Unit: s.unit, Day: float64(s.day), SoFarC: math.NaN()}
	}
	all := ensemble.NewMeanDates(past)
	return calendar{all.Mean, all.N, all}
}

// usable reports whether a unit has a mean date.
func (c calendar) usable(unit int) bool { return c.all.Usable(unit) }

// forecast is the Gaussian of the unit's dates, with what the mean itself is
// off by, as the chance by the end of each day.
func (c calendar) forecast(unit int) []float64 { return c.all.Of(unit).By(daysOfYear) }

// regression forecasts the date from the mean temperature from 1 January to the
// day before the issue: one slope for all units, each about its own means. It
// is the mean date where temperatures are missing.
func (s *season) regression(o sight, issued int) []float64 {
	past := make([]ensemble.PastDate, len(s.others))
	for i, q := range s.others {
		past[i] = ensemble.PastDate{Unit: q.unit, Day: float64(q.day), SoFarC: s.h.meanSoFar(q, issued)}
	}
	date, ok := ensemble.Regress(past, o.unit, s.h.meanSoFar(o, issued))
	if !ok {
		return s.calendar.forecast(o.unit)
	}
	return date.By(daysOfYear)
}

// meanSoFar is the mean temperature from 1 January up to the day before one,
// NaN where too much is missing.
func (h *hindcast) meanSoFar(s sight, issued int) float64 {
	t, ok := h.thermometers[s.file].years[s.year]
	if !ok {
		return math.NaN()
	}
	return ensemble.SoFar(t[:issued])
}

func sq(x float64) float64 { return x * x }
