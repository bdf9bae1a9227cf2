package stage

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// Drawn pools a forecast with the mean date of past years, by how many days
// that is off: half from 42 days on, a quarter from 21 to 28, nothing within a
// fortnight, and straight lines between. So far ahead the weather says little,
// and a calendar is hard to beat. The result has the days of the first.
func Drawn(mine, mean ensemble.Days, leadDays float64) ensemble.Days {
	w := meanDateWeight(leadDays)
	if w == 0 {
		return mine
	}
	out := ensemble.Days{From: mine.From, By: make([]float64, len(mine.By))}
	for i := range out.By {
		out.By[i] = (1-w)*mine.By[i] + w*mean.On(mine.From+civil.Date(i))
	}
	return out
}

func meanDateWeight(lead float64) float64 {
	between := func(from, to float64) float64 { return max(0, min(1, (lead-from)/(to-from))) }
	return 0.25*between(14, 21) + 0.25*between(28, 42)
}
