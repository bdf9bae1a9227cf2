package hindcast

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// Case is one forecast and what came.
type Case struct {
	Lead, Year                     int
	Unit                           string
	Issued, Observed               civil.Date
	Gone                           bool          // reached before it was issued: counted, not scored
	Forecast                       ensemble.Days // as issued, cut at the last visit and drawn to the mean date
	CRPS, CRPSMean, CRPSRegression float64       // days
	ErrorDays                      float64       // median less observed
	PITLow, PITHigh                float64       // chance by the day before, and by the day
	Width80                        float64       // days from P10 to P90
}

// score forecasts a sight at a lead and compares it with what came, or says why
// it can't.
func (s *season) score(o sight, lead int) (c Case, why string) {
	issued, first := int(math.Round(s.calendar.mean[o.unit]))-lead, civil.Of(s.year, 1, 1)
	c = Case{Lead: lead, Year: s.year, Unit: s.h.panel.units[o.unit], Issued: first + civil.Date(issued), Observed: first + civil.Date(o.day)}
	if s.h.visit(issued) < 0 || issued < 1 {
		return c, "that is before the year begins"
	}
	if o.day < issued {
		c.Gone = true
		return c, ""
	}
	mean := s.visited(s.calendar.forecast(o.unit), issued)
	regression := s.visited(s.regression(o, issued), issued)
	c.Forecast = stage.Drawn(s.visited(s.forecast(o, issued), issued), mean, float64(lead))
	c.CRPS, c.CRPSMean, c.CRPSRegression = ensemble.CRPS(c.Forecast, c.Observed), ensemble.CRPS(mean, c.Observed), ensemble.CRPS(regression, c.Observed)
	c.PITLow, c.PITHigh = c.Forecast.On(c.Observed-1), c.Forecast.On(c.Observed)
	c.ErrorDays = quantile(c.Forecast, 0.5) - float64(o.day)
	c.Width80 = quantile(c.Forecast, 0.9) - quantile(c.Forecast, 0.1)
	return c, ""
}

// quantile between whole days, counted from the forecast's first as 0; the
// first day beyond the horizon where that ends before.
func quantile(d ensemble.Days, p float64) float64 { return min(d.DaysTo(p), float64(len(d.By))) }
