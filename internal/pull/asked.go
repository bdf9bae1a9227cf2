package pull

import (
	"fmt"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// keepAsked leaves of an answer the days that its request names, and refuses
// one that holds others alone: it answers another question, and what was asked
// is still to be had. An answer with holes, or without any day, is an answer.
func (o Order) keepAsked(b *feed.Batch, h *weather.Haul) error {
	if o.Asked.First.IsZero() {
		return nil
	}
	held := daysOf(*b)
	asked, strays := parted(held, o.Asked)
	if len(held) > 0 && len(asked) == 0 {
		return fmt.Errorf("its answer holds none of the days asked for (%s); it holds %s: look what service: (or the provider's own address) answers for these days; they stay to be fetched, by the same command", o.Asked, civil.Range{First: held[0], Last: held[len(held)-1]})
	}
	b.Days = slices.DeleteFunc(slices.Clone(b.Days), func(d weather.Day) bool { return !o.Asked.Has(d.Date) })
	b.Winds = slices.DeleteFunc(slices.Clone(b.Winds), func(w weather.Wind) bool { return !o.Asked.Has(w.Date) })
	// The hours of a day of another zone begin or end a day beside those asked for.
	wide := civil.Range{First: o.Asked.First - 1, Last: o.Asked.Last + 1}
	if _, strays = parted(strays, wide); len(strays) > 0 {
		h.Rejects = append(h.Rejects, weather.Reject{
			Reason: fmt.Sprintf("%d days that weren't asked for are left out, %s", len(strays), civil.Range{First: strays[0], Last: strays[len(strays)-1]}),
		})
	}
	return nil
}

// daysOf gives the days that an answer speaks of, sorted; of readings of which
// no day was made, those on which they were read.
func daysOf(b feed.Batch) (days []civil.Date) {
	for _, d := range b.Days {
		days = append(days, d.Date)
	}
	if len(days) > 0 {
		return days
	}
	for _, r := range b.Readings {
		if d := civil.At(r.At.UTC()); len(days) == 0 || days[len(days)-1] != d {
			days = append(days, d)
		}
	}
	return days
}

// parted parts days into those of a range and the others.
func parted(days []civil.Date, over civil.Range) (within, others []civil.Date) {
	for _, d := range days {
		if over.Has(d) {
			within = append(within, d)
		} else {
			others = append(others, d)
		}
	}
	return within, others
}
