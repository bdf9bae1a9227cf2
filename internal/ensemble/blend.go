package ensemble

import (
	"math"

	"budcall/internal/civil"
)

// smoothDays is by how many days to either side a day's climatology is smoothed.
const smoothDays = 5

// Blend draws the members towards a short-range forecast, day by day:
//
//	c + w·(f − c) + √(1 − w)·a,  w = σc²/(σc² + σe²)
//
// where c and σc are the mean and standard deviation of the members around the
// day (smoothed over ±5 days), f the forecast, a the member's departure from
// c, and σe the error of a forecast that many days ahead, as assumed; see
// ErrorsK.Blend. Day 1 is issued itself. Days that the forecast doesn't reach, or
// of before issued, stay.
func Blend(m Members, forecast []Mean, issued civil.Date) Members {
	return ErrorsK(nil).Blend(m, forecast, issued)
}

// Blend is Blend with the errors that forecasts have had.
func (e ErrorsK) Blend(m Members, forecast []Mean, issued civil.Date) Members {
	if len(forecast) == 0 || len(m.TempC) == 0 {
		return m
	}
	out := Members{From: m.From, Years: m.Years, TempC: make([][]float64, len(m.TempC))}
	for i, t := range m.TempC {
		out.TempC[i] = append([]float64(nil), t...)
	}
	for _, f := range forecast {
		i := int(f.Date - m.From)
		if f.Date < issued || i < 0 || i >= len(m.TempC[0]) || math.IsNaN(f.MeanC) {
			continue
		}
		c, sc := m.climate(i)
		w := weight(sc, e.Of(int(f.Date-issued)+1))
		for k := range out.TempC {
			out.TempC[k][i] = c + w*(f.MeanC-c) + math.Sqrt(1-w)*(m.TempC[k][i]-c)
		}
	}
	return out
}

func weight(sc, se float64) float64 { return sc * sc / (sc*sc + se*se) }

// climate gives the mean and the standard deviation of the members on the days
// around day i of the window.
func (m Members) climate(i int) (meanC, sdK float64) {
	lo, hi := max(0, i-smoothDays), min(len(m.TempC[0]), i+smoothDays+1)
	n := float64(len(m.TempC) * (hi - lo))
	for _, t := range m.TempC {
		for _, c := range t[lo:hi] {
			meanC += c / n
		}
	}
	var spread float64
	for d := lo; d < hi; d++ { // about each day's own mean, so that the season's course isn't taken for spread
		var mean float64
		for _, t := range m.TempC {
			mean += t[d] / float64(len(m.TempC))
		}
		for _, t := range m.TempC {
			spread += (t[d] - mean) * (t[d] - mean) / n
		}
	}
	return meanC, math.Sqrt(spread)
}
