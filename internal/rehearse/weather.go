package rehearse

import "math"

// LeadDays is how many days, the day of issue included, a forecast reaches.
const LeadDays = 10

// errorC is the standard deviation of a forecast's error in K, day by day of
// lead: 1.5 on the day of issue to 4 on the tenth, evenly.
func errorC(lead int) float64 {
	return 1.5 + (4-1.5)*float64(lead)/(LeadDays-1)
}

// forecasts gives, for each day of issue, daily means of that day and those
// after it: the true ones of the station plus an error whose standardized value
// follows an AR(1) with 0.7 over the days of lead. Shorter where the truth ends.
func forecasts(at chance, temps []float64, days int) [][]float64 {
	const rho = 0.7
	out := make([][]float64, days)
	for issued := range out {
		n := min(LeadDays, len(temps)-issued)
		f := make([]float64, n)
		z := 0.0
		for lead := range f {
			e := at.at(issued*LeadDays + lead).normal()
			if lead == 0 {
				z = e
			} else {
				z = rho*z + math.Sqrt(1-rho*rho)*e
			}
			f[lead] = temps[issued+lead] + errorC(lead)*z
		}
		out[issued] = f
	}
	return out
}

// Chances of a gap to begin on a day, of 1 to 6 days, 3.5 in the mean: about 2.4
// in 100 days missing. In one spring of four ten days in a row between 15 March
// and 15 May are missing beside.
const (
	gapBegins   = 0.007
	outageShare = 0.25
	outageDays  = 10
)

// holed gives the means that reached anybody: those of the station without its
// own holes and the gaps drawn for the season.
func holed(at chance, means []float64, days int) []float64 {
	out := make([]float64, days)
	for i := range out {
		out[i] = math.NaN()
		if i < len(means) {
			out[i] = means[i]
		}
	}
	drop := func(from, n int) {
		for i := from; i < min(days, from+n); i++ {
			out[i] = math.NaN()
		}
	}
	for i := range out {
		if at.at(2*i).uniform() < gapBegins {
			drop(i, 1+int(6*at.at(2*i+1).uniform()))
		}
	}
	spring := at.at(-1)
	if spring.at(0).uniform() < outageShare {
		drop(74+int(61*spring.at(1).uniform()), outageDays)
	}
	return out
}
