package stage

import "budcall/internal/ensemble"

// Follow conditions a stage that comes a given heat after another on what
// visits say of that other one. A plant that is late for the first is as late
// for the second: both have the same place in their distributions. With F of
// the first, G of the second, not yet on I and seen on J,
//
//	G̃(d) = (G(d) − F(I))/(F(J) − F(I)),  between 0 and 1
//
// where F(I) is 0 without a visit that found it not yet, and F(J) is 1 without
// one that saw it. Where the forecast gave what was seen no chance, G stays.
func Follow(second, first ensemble.Days, b Bounds) ensemble.Days {
	if b.Seen != 0 && b.NotYet >= b.Seen {
		b.NotYet = b.Seen - 1
	}
	lo, hi := 0.0, 1.0
	if b.NotYet != 0 {
		lo = first.On(b.NotYet)
	}
	if b.Seen != 0 {
		hi = first.On(b.Seen)
	}
	if lo == 0 && hi == 1 || hi-lo <= leastChance {
		return second
	}
	out := ensemble.Days{From: second.From, By: make([]float64, len(second.By))}
	for i, p := range second.By {
		out.By[i] = min(1, max(0, (p-lo)/(hi-lo)))
	}
	return out
}
