package replay

import (
	"cmp"
	"slices"

	"budcall/internal/trail"
)

// Grouped puts stored reports together as they were made: those that reached
// us at the same moment from the same person about the same site were one
// form. The groups are in the order in which they came.
func Grouped(reports []trail.Report) (said [][]trail.Report) {
	sorted := slices.Clone(reports)
	slices.SortStableFunc(sorted, func(a, b trail.Report) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID))
	})
	together := func(a, b trail.Report) bool {
		return a.At.Equal(b.At) && a.Person == b.Person && a.Site == b.Site && a.Way == b.Way
	}
	for _, r := range sorted {
		if n := len(said); n > 0 && together(said[n-1][0], r) {
			said[n-1] = append(said[n-1], r)
		} else {
			said = append(said, []trail.Report{r})
		}
	}
	return said
}
