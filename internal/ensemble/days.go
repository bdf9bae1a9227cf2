package ensemble

import (
	"math"
	"sort"

	"budcall/internal/civil"
)

// Days is the distribution of the day on which something happens: the chance,
// between 0 and 1, that it has happened by the end of each day.
//
// By[i] belongs to the day From+i and never falls as i grows. Before From the
// chance is 0; after the last entry it stays as it is there, and what is
// missing to 1 is the chance that it never happens within the horizon.
type Days struct {
	From civil.Date
	By   []float64
}

// On gives the chance that it has happened by the end of day.
func (d Days) On(day civil.Date) float64 {
	if len(d.By) == 0 || day < d.From {
		return 0
	}
	return d.By[min(int(day-d.From), len(d.By)-1)]
}

// Quantile gives the first day by whose end the chance is at least p, and
// false where the horizon ends before that.
func (d Days) Quantile(p float64) (civil.Date, bool) {
	i := sort.SearchFloat64s(d.By, p)
	if i == len(d.By) || math.IsNaN(p) {
		return 0, false
	}
	return d.From + civil.Date(i), true
}

// LastAtMost gives the last day on whose end the chance is at most p. It is
// false where that is so on every day of the horizon or there is no horizon.
func (d Days) LastAtMost(p float64) (civil.Date, bool) {
	i := sort.Search(len(d.By), func(i int) bool { return d.By[i] > p })
	if i == len(d.By) {
		return 0, false
	}
	return d.From + civil.Date(i) - 1, true
}
