package degreeday

import "math"

// Run is the temperatures of days in a row, without a hole, in °C: the daily
// means for the method Mean, the extremes for all others. Double methods need
// the minimum of one day more.
type Run struct{ MeanC, MinC, MaxC []float64 }

// Sums sets sumCd[i] to the heat gathered from the run's first day through its
// day i, in °C·d; the run is at least as long as sumCd, and no minimum is above
// its maximum. Once a sum has come to enoughCd (+Inf: never) later days may carry
// that sum, so that work is left out where the heat no longer matters.
//
// It is what Accumulate gives, made for many runs. A day of the method Sine is
// off by at most 3·10⁻⁹ °C·d for each degree between its extremes. A
// temperature that is NaN makes the sums NaN from its day on.
func (r Rule) Sums(sumCd []float64, run Run, enoughCd float64) {
	var n int
	switch {
	case len(sumCd) == 0:
		return
	case r.Method == Mean:
		n = r.meanSums(sumCd, run.MeanC, enoughCd)
	case r.Method == Sine && math.IsNaN(r.UpperC):
		n = sineSums(sumCd, run, r.BaseC, enoughCd)
	default:
		n = r.sums(sumCd, run, enoughCd)
	}
	last := sumCd[n-1]
	for i := n; i < len(sumCd); i++ {
		sumCd[i] = last
	}
}

// Each of these gives how many sums it has set, at least one.

func (r Rule) meanSums(sumCd, meanC []float64, enoughCd float64) int {
	meanC = meanC[:len(sumCd)]
	var sum float64
	for i, c := range meanC {
		if h := r.cut(c) - r.BaseC; !(h <= 0) {
			sum += h
		}
		sumCd[i] = sum
		if sum >= enoughCd {
			return i + 1
		}
	}
	return len(sumCd)
}

func (r Rule) sums(sumCd []float64, run Run, enoughCd float64) int {
	var sum float64
	for i := range sumCd {
		h := r.between(run.MinC[i], run.MaxC[i])
		if r.Method.Double() {
			low, high := min(run.MinC[i+1], run.MaxC[i]), max(run.MinC[i+1], run.MaxC[i])
			h = (h + r.between(low, high)) / 2
		}
		sum += h
		sumCd[i] = sum
		if sum >= enoughCd {
			return i + 1
		}
	}
	return len(sumCd)
}
