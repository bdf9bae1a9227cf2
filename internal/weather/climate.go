package weather

import "math"

// climate is what a station's element usually is at a time of the year, and
// by how much it changes from one day to the next.
type climate struct {
	usualC       yearly // the median
	downK, upK   yearly // spread below and above it, as standard deviations
	changeK      yearly // spread of the change from day to day
	fitted       bool
	changeFitted bool
}

// What a place's own past can say; our assumptions.
const (
	climateYears     = 15
	climateDaysLeast = 2 * daysOfAYear // with less nobody knows what is usual
	changeDaysLeast  = 60
	tail             = 0.05  // the quantile that gives the spread of a side
	tailSDs          = 1.645 // where it lies in a normal distribution
)

// climateOf describes the days from..to-1.
func (f *fitter) climateOf(p *panel, c []float64, doubted []bool, from, to int) (k climate) {
	n := f.sort(p, from, to, func(t int) float64 {
		if doubted[t] {
			return math.NaN()
		}
		return c[t]
	})
	k.fitted = n >= climateDaysLeast
	for m := range 12 {
		f.season(m)
		k.usualC[m] = f.merged.quantile(0.5)
		k.downK[m] = max(1, (k.usualC[m]-f.merged.quantile(tail))/tailSDs)
		k.upK[m] = max(1, (f.merged.quantile(1-tail)-k.usualC[m])/tailSDs)
	}
	n = f.sort(p, max(from, 1), to, func(t int) float64 {
		if doubted[t] || doubted[t-1] {
			return math.NaN()
		}
		return math.Abs(c[t] - c[t-1])
	})
	k.changeFitted = n >= changeDaysLeast
	for m := range 12 {
		f.season(m)
		k.changeK[m] = max(1, f.merged.quantile(1-2*tail)/tailSDs)
	}
	return k
}

// sort counts values by month.
func (f *fitter) sort(p *panel, from, to int, value func(t int) float64) (n int) {
	for _, m := range f.months {
		m.clear()
	}
	for t := from; t < to; t++ {
		f.months[p.month[t]].add(value(t))
	}
	for _, m := range f.months {
		n += m.n
	}
	return n
}

// season merges a month with those beside it, or the whole year where they
// hold too little.
func (f *fitter) season(m int) {
	f.merged.merge(f.months[(m+11)%12], f.months[m], f.months[(m+1)%12])
	if f.merged.n < monthLeast {
		f.merged.merge(f.months[:]...)
	}
}

// departure is how far a value lies from what is usual, in spreads of the
// side it lies on.
func (k *climate) departure(p *panel, t int, c float64) float64 {
	d := c - k.usualC.at(p, t)
	if d < 0 {
		return d / k.downK.at(p, t)
	}
	return d / k.upK.at(p, t)
}
