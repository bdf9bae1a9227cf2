package config

import (
	"fmt"
	"math"
	"strings"

	"budcall/internal/degreeday"
)

// readRule reads the degree-day method of a stage with its thresholds.
func readRule(s *section) degreeday.Rule {
	methods := words(degreeday.Methods)
	method := s.need("method", "one of "+strings.Join(methods, ", ")).choice(methods...)
	base, ok := s.need("base_c", "the temperature below which nothing counts, in degrees Celsius").number(bounds{-5, 20, "degrees Celsius, not Fahrenheit"})
	upper, limited := s.get("upper_c").number(bounds{0, 50, "degrees Celsius, not Fahrenheit"})
	if !limited {
		upper = math.NaN()
	}
	cutoff := s.get("cutoff")
	kind := cutoff.choice(words(degreeday.Cutoffs)...)
	if cutoff.set() && !s.get("upper_c").set() {
		cutoff.problem("is of no use without upper_c", "add upper_c, or remove the line")
	}
	if method == "" || !ok {
		return degreeday.Rule{}
	}
	rule, err := degreeday.NewRule(degreeday.Method(method), degreeday.Cutoff(kind), base, upper)
	if err != nil {
		e := s.get("upper_c")
		if kind != "" && upper > base {
			e = cutoff
		}
		e.problem(err.Error(), "base_c, upper_c and cutoff belong to the method")
	}
	return rule
}

func words[T ~string](names []T) []string {
	var s []string
	for _, n := range names {
		s = append(s, string(n))
	}
	return s
}

// sameHeat reports whether two stages count the same heat. An absent upper
// threshold is NaN, which is unequal to itself.
func sameHeat(a, b degreeday.Heat) bool {
	if math.IsNaN(a.Rule.UpperC) && math.IsNaN(b.Rule.UpperC) {
		a.Rule.UpperC, b.Rule.UpperC = 0, 0
	}
	return a == b
}

// heatOf writes a heat as people say it.
func heatOf(h degreeday.Heat) string {
	upper := ""
	if !math.IsNaN(h.Rule.UpperC) {
		upper = fmt.Sprintf(", %s cutoff at %s °C", h.Rule.Cutoff, plain(h.Rule.UpperC))
	}
	return fmt.Sprintf("%s above %s °C from %d %s%s", h.Rule.Method, plain(h.Rule.BaseC), h.Start.Day, h.Start.Month, upper)
}
