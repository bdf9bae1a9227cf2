package stage

import (
	"math"
	"slices"
)

// LongestHole is how many missing days in a row are bridged before a season's
// heat is given up: our assumption.
const LongestHole = 5

// Bridged gives daily means with short holes (up to 5 days) filled by straight
// lines; a longer one, and one at an end, stays missing (NaN).
func Bridged(meansC []float64) []float64 {
	out := slices.Clone(meansC)
	for i := 0; i < len(out); {
		if !math.IsNaN(out[i]) {
			i++
			continue
		}
		end := i
		for end < len(out) && math.IsNaN(out[end]) {
			end++
		}
		if end-i <= LongestHole && i > 0 && end < len(out) {
			for k := i; k < end; k++ {
				w := float64(k-i+1) / float64(end-i+1)
				out[k] = meansC[i-1]*(1-w) + meansC[end]*w
			}
		}
		i = end
	}
	return out
}

// Carried gives daily means with the first 5 days of each hole filled by the
// last value before it, so that no day depends on a later one.
func Carried(meansC []float64) []float64 {
	out := slices.Clone(meansC)
	hole := 0
	for i := 1; i < len(out); i++ {
		if !math.IsNaN(meansC[i]) {
			hole = 0
			continue
		}
		if hole++; hole <= LongestHole {
			out[i] = out[i-1]
		}
	}
	return out
}
