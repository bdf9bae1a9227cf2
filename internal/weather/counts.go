package weather

import "math"

// counts is a histogram of temperatures or of their differences, by tenths of
// a degree: a median costs one walk over the tenths between the coldest and
// the warmest, however many days it holds.
type counts struct {
	bins      []int32
	low, high int // no bin below or above holds anything
	n         int
}

const (
	countsFromC = -75.0 // what lies beyond is counted at the end
	countsBins  = 1501
)

func newCounts() *counts {
	return &counts{bins: make([]int32, countsBins), low: countsBins, high: -1}
}

func (c *counts) add(v float64) {
	if math.IsNaN(v) {
		return
	}
	bin := max(0, min(countsBins-1, int((v-countsFromC)*10+0.5)))
	c.bins[bin]++
	c.low, c.high = min(c.low, bin), max(c.high, bin)
	c.n++
}

func (c *counts) clear() {
	if c.n > 0 {
		clear(c.bins[c.low : c.high+1])
	}
	c.low, c.high, c.n = countsBins, -1, 0
}

// merge sets c to the sum of others.
func (c *counts) merge(others ...*counts) {
	c.clear()
	for _, o := range others {
		if o.n == 0 {
			continue
		}
		to := c.bins[o.low : o.high+1]
		for i, k := range o.bins[o.low : o.high+1] {
			to[i] += k
		}
		c.low, c.high, c.n = min(c.low, o.low), max(c.high, o.high), c.n+o.n
	}
}

// quantile gives the value below which a share of the days lies, to half a
// tenth of a degree; NaN of nothing.
func (c *counts) quantile(share float64) float64 {
	if c.n == 0 {
		return math.NaN()
	}
	want := int(math.Ceil(share * float64(c.n)))
	seen := 0
	for i, k := range c.bins[c.low : c.high+1] {
		if seen += int(k); seen >= want {
			return countsFromC + float64(c.low+i)/10
		}
	}
	return countsFromC + float64(c.high)/10
}

// medianAndSpread gives the median, and 1.4826 times the median of the
// distances from it: of a normal distribution that is its standard deviation,
// and a few broken days change neither.
func (c *counts) medianAndSpread() (median, spread float64) {
	if c.n == 0 {
		return math.NaN(), math.NaN()
	}
	median = c.quantile(0.5)
	at := int(math.Round((median - countsFromC) * 10))
	seen := int(c.bins[at])
	d := 0
	for 2*seen < c.n {
		d++
		if at-d >= 0 {
			seen += int(c.bins[at-d])
		}
		if at+d < countsBins {
			seen += int(c.bins[at+d])
		}
	}
	return median, 1.4826 * float64(d) / 10
}
