package pull

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// leaveTorn leaves out the first day of an answer of hours where it is stored
// already: the answer begins within it, and what is stored came of more of its
// hours. Of a file, which may lose its oldest lines, that is so only where too
// few hours are left.
func leaveTorn(o Order, b *feed.Batch, newest civil.Date) {
	if len(b.Readings) == 0 || len(b.Days) == 0 || o.BackFill || b.Days[0].Date > newest {
		return
	}
	first := b.Days[0]
	if o.Served == nil && !valueless(first) {
		return
	}
	b.Days = b.Days[1:]
	if len(b.Winds) > 0 && b.Winds[0].Date == first.Date {
		b.Winds = b.Winds[1:]
	}
}

func valueless(d weather.Day) bool {
	return math.IsNaN(d.MinC) && math.IsNaN(d.MaxC) && math.IsNaN(d.MeanC)
}
