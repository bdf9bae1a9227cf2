package degreeday

import (
	"fmt"
	"slices"
	"strings"
)

// Method is how a day's heat is computed from its temperatures.
type Method string

// The methods; see the package comment for the formulae.
const (
	Mean           Method = "mean"
	Average1       Method = "average1"
	Average2       Method = "average2"
	FourCase       Method = "four-case"
	Triangle       Method = "triangle"
	Sine           Method = "sine"
	DoubleTriangle Method = "double-triangle"
	DoubleSine     Method = "double-sine"
)

// Methods lists every method.
var Methods = []Method{Mean, Average1, Average2, FourCase, Triangle, Sine, DoubleTriangle, DoubleSine}

// ParseMethod reads a method's name.
func ParseMethod(s string) (Method, error) {
	if m := Method(s); slices.Contains(Methods, m) {
		return m, nil
	}
	return "", fmt.Errorf("no method is called %q: write one of %s", s, list(Methods))
}

// Extremes reports whether the method needs a day's minimum and maximum
// rather than its published mean.
func (m Method) Extremes() bool { return m != Mean }

// Double reports whether the method needs the next day's minimum as well.
func (m Method) Double() bool { return m == DoubleTriangle || m == DoubleSine }

// curve reports whether the method follows the course of the day, so that
// every cutoff is defined.
func (m Method) curve() bool { return m == Triangle || m == Sine || m.Double() }

// Cutoff is what happens above the upper threshold.
type Cutoff string

// The cutoffs; see the package comment.
const (
	Horizontal   Cutoff = "horizontal"
	Intermediate Cutoff = "intermediate"
	Vertical     Cutoff = "vertical"
)

// Cutoffs lists every cutoff.
var Cutoffs = []Cutoff{Horizontal, Intermediate, Vertical}

// ParseCutoff reads a cutoff's name.
func ParseCutoff(s string) (Cutoff, error) {
	if c := Cutoff(s); slices.Contains(Cutoffs, c) {
		return c, nil
	}
	return "", fmt.Errorf("no cutoff is called %q: write one of %s", s, list(Cutoffs))
}

func list[T ~string](names []T) string {
	var s []string
	for _, n := range names {
		s = append(s, string(n))
	}
	return strings.Join(s, ", ")
}
