package weather

import "math"

// How a station's offset to a neighbour is fitted; our assumptions.
const (
	fitYears        = 6   // how far back (in hindsight: around) the offset of a season is looked for
	fitDaysLeast    = 60  // common days before a neighbour is heard
	monthLeast      = 20  // common days before a month (with those beside it) has an offset of its own
	spreadFloorK    = 0.7 // readings of whole degrees differ by that much though nothing is wrong
	levelDays       = 180 // the median over them follows what a season's offset doesn't know: a station moved, a sensor replaced
	levelDaysAround = 270 // the same in hindsight, either way
	levelLeast      = 30
	daysOfAYear     = 365
	spreadUnknown   = 3.0 // K, of a month that has too few common days
)

// offset is what a station's element is expected to differ from a
// neighbour's, by season, with its spread; and how far the last half year lies
// beside that.
type offset struct {
	usualK  yearly
	spreadK yearly
	levelK  float64
	fitted  bool
}

// fitter holds what fitting needs again and again.
type fitter struct {
	months        [12]*counts
	merged, chunk *counts
	days          int // that the last fit had
}

func newFitter() *fitter {
	f := &fitter{merged: newCounts(), chunk: newCounts()}
	for m := range f.months {
		f.months[m] = newCounts()
	}
	return f
}

// fit finds the offset of a to b from the days from..to-1 that aren't
// doubted. Each year of them is centred first, so that a station that was
// moved has one season's shape and not two.
func (f *fitter) fit(p *panel, a, b []float64, doubted []bool, from, to int) (o offset) {
	for _, m := range f.months {
		m.clear()
	}
	n := 0
	newest := math.NaN()
	for end := to; end > from; end -= daysOfAYear {
		start := max(from, end-daysOfAYear)
		f.chunk.clear()
		for t := start; t < end; t++ {
			if !doubted[t] {
				f.chunk.add(a[t] - b[t])
			}
		}
		if f.chunk.n == 0 {
			continue
		}
		centre := f.chunk.quantile(0.5)
		if math.IsNaN(newest) {
			newest = centre
		}
		n += f.chunk.n
		for t := start; t < end; t++ {
			if d := a[t] - b[t]; !doubted[t] && !math.IsNaN(d) {
				f.months[p.month[t]].add(d - centre + newest)
			}
		}
	}
	f.days = n
	if n < fitDaysLeast {
		return o
	}
	o.fitted = true
	f.merged.merge(f.months[:]...)
	all, allSpread := f.merged.medianAndSpread()
	for m := range 12 {
		f.merged.merge(f.months[(m+11)%12], f.months[m], f.months[(m+1)%12])
		o.usualK[m], o.spreadK[m] = f.merged.medianAndSpread()
		if f.merged.n < monthLeast {
			o.usualK[m], o.spreadK[m] = all, max(allSpread, spreadUnknown)
		}
		o.spreadK[m] = max(o.spreadK[m], spreadFloorK)
	}
	return o
}

// relevel looks how far the days from..to-1 lie beside the usual offset.
func (f *fitter) relevel(p *panel, a, b []float64, from, to int, o *offset) {
	f.chunk.clear()
	for t := from; t < to; t++ {
		if d := a[t] - b[t]; !math.IsNaN(d) {
			f.chunk.add(d - o.usualK.at(p, t))
		}
	}
	if f.chunk.n >= levelLeast {
		o.levelK = f.chunk.quantile(0.5)
	}
}
