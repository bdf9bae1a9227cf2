package feed

import (
	"math"
	"slices"
	"strings"

	"budcall/internal/weather"
)

// seen is the different words met, in order, at most twenty.
type seen []string

func (s *seen) add(word string) {
	if len(*s) < 20 && !slices.Contains(*s, word) {
		*s = append(*s, strings.Clone(word))
	}
}

// meanOf says how means came about where there is one.
func meanOf(days []weather.Day, of MeanOf) MeanOf {
	if slices.ContainsFunc(days, func(d weather.Day) bool { return !math.IsNaN(d.MeanC) }) {
		return of
	}
	return ""
}
