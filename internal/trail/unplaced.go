package trail

import (
	"cmp"
	"slices"
	"strings"
)

// Codes lists the codes of a season's bags, lots and unplaced seed.
func (t Trail) Codes() (list []string) {
	for _, tree := range t.Trees {
		for _, b := range tree.Bags {
			list = append(list, b.Code)
		}
	}
	for _, l := range t.Lots {
		list = append(list, l.Code)
	}
	for _, u := range t.Unplaced {
		list = append(list, u.Code)
	}
	return list
}

// suggest sets, for all seed that is unplaced, the codes that may be meant.
func (d *Directory) suggest(unplaced []*UnplacedSeed) {
	for _, u := range unplaced {
		if u.Packets > 0 {
			near := d.meant(u.Written)
			u.Near = slices.DeleteFunc(near, func(n Near) bool { return n.Code == u.Code })
		}
	}
}

// meant gives the codes that may be meant by what stands on packets: by all of
// it, or where nothing is near that, by each of the codes in it.
func (d *Directory) meant(written string) []Near {
	near := d.Near(written)
	words := strings.Fields(written)
	if len(near) > 0 || len(words) < 2 {
		return near
	}
	for _, word := range words {
		near = append(near, d.Near(word)...)
	}
	slices.SortStableFunc(near, func(a, b Near) int {
		return cmp.Or(strings.Compare(a.Code, b.Code), slices.Index(slips, a.Slip)-slices.Index(slips, b.Slip))
	})
	near = slices.CompactFunc(near, func(a, b Near) bool { return a.Code == b.Code })
	slices.SortStableFunc(near, func(a, b Near) int { return slices.Index(slips, a.Slip) - slices.Index(slips, b.Slip) })
	return near[:min(len(near), mostNear)]
}
