package weather

import (
	"math"
	"slices"
)

// witness is what one neighbour says of a day's element.
type witness struct {
	station   int
	offsetK   float64 // what the value is expected to be above the neighbour's
	expectedC float64
	spreadK   float64
	apartK    float64 // value less expected
}

// hearing is what the neighbours say of a day's element together.
type hearing struct {
	heard     []witness
	silenced  bool    // the only one that has a reading is doubted itself
	expectedC float64 // the middle one of what they expect
	spreadK   float64 // of that one
	apartK    float64 // by how much more than half of them find the value off, 0 where they don't agree on it
	spreads   float64 // the same in spreads
}

// settle makes one of what several say. More than half must find the value too
// warm (or too cold) by the amount given, so that half of the neighbours may
// be broken and a good station isn't doubted for them: of two both must, of
// three two, of five three.
func (h *hearing) settle() {
	n := len(h.heard)
	h.apartK, h.spreads, h.expectedC, h.spreadK = 0, 0, math.NaN(), math.NaN()
	if n == 0 {
		return
	}
	slices.SortFunc(h.heard, func(a, b witness) int {
		switch {
		case a.apartK < b.apartK:
			return -1
		case a.apartK > b.apartK:
			return 1
		}
		return a.station - b.station
	})
	h.apartK = h.agreedApart(most(n))
	low, high := h.heard[n/2], h.heard[(n-1)/2] // the middle one twice, or the middle two
	h.expectedC, h.spreadK = (low.expectedC+high.expectedC)/2, (low.spreadK+high.spreadK)/2
	var room [16]float64
	z := room[:0]
	for _, w := range h.heard {
		z = append(z, w.apartK/w.spreadK)
	}
	h.spreads = agreed(z, most(n))
}

// most is more than half of n neighbours.
func most(n int) int { return n/2 + 1 }

// mostOfAll is how many of n neighbours make more than half of them and the
// station together, so that two of four that fail in the same way at the same
// time don't condemn the other two; one alone is heard where there is no other.
func mostOfAll(n int) int { return max(1, min(n, (n+1)/2+1)) }

// agreedApart is agreed of what the neighbours, sorted by it, find the value
// off by.
func (h *hearing) agreedApart(need int) float64 {
	n := len(h.heard)
	switch low, high := h.heard[need-1].apartK, h.heard[n-need].apartK; {
	case high > 0:
		return high
	case low < 0:
		return low
	}
	return 0
}

// agreed gives what at least so many of some amounts reach, all on one side of
// zero, and else 0. It sorts them.
func agreed(z []float64, need int) float64 {
	if len(z) == 0 {
		return 0
	}
	slices.Sort(z)
	switch low, high := z[need-1], z[len(z)-need]; {
	case high > 0:
		return high
	case low < 0:
		return low
	}
	return 0
}
