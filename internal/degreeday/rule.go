package degreeday

import (
	"fmt"
	"math"

	"budcall/internal/civil"
)

// Rule is a method with its thresholds. Make one with NewRule, which checks
// it; a Rule that holds no upper threshold has NaN there and so never equals
// another by ==.
type Rule struct {
	Method Method
	Cutoff Cutoff  // Horizontal where there is no upper threshold
	BaseC  float64 // lower threshold, °C
	UpperC float64 // upper threshold, °C; NaN: none
}

// Heat is a rule and the day of the year from which its heat is summed. Base
// and start belong together: neither is taken from another source than the
// other.
type Heat struct {
	Rule  Rule
	Start civil.MonthDay
}

// The bounds of a sensible threshold, in °C: our assumption. Bases published
// for trees run from about -6 to +10; the usual 41 and 50 °F are outside, and
// so are the upper thresholds 86 and 95 °F.
const (
	lowestBaseC   = -20
	highestBaseC  = 30
	highestUpperC = 50
)

// NewRule checks a rule once, so that it need not be checked again. upperC is
// NaN for no upper threshold; an empty cutoff is Horizontal. An error says
// what is wrong with the rule and what to do.
func NewRule(m Method, c Cutoff, baseC, upperC float64) (Rule, error) {
	if c == "" {
		c = Horizontal
	}
	if _, err := ParseMethod(string(m)); err != nil {
		return Rule{}, err
	}
	if _, err := ParseCutoff(string(c)); err != nil {
		return Rule{}, err
	}
	if err := checkThresholds(baseC, upperC); err != nil {
		return Rule{}, err
	}
	switch {
	case c != Horizontal && !m.curve():
		return Rule{}, fmt.Errorf("the %s cutoff isn't defined for the method %s: use horizontal, or one of triangle, sine and their double forms", c, m)
	case c != Horizontal && math.IsNaN(upperC):
		return Rule{}, fmt.Errorf("the %s cutoff has no upper threshold to work at: give one, or leave the cutoff out", c)
	}
	return Rule{Method: m, Cutoff: c, BaseC: baseC, UpperC: upperC}, nil
}

func checkThresholds(baseC, upperC float64) error {
	switch {
	case math.IsNaN(baseC) || math.IsInf(baseC, 0):
		return fmt.Errorf("the base is %g: give a number of degrees Celsius", baseC)
	case baseC < lowestBaseC || baseC > highestBaseC:
		return fmt.Errorf("the base of %g is outside %d to %d degrees Celsius: is it in Fahrenheit? %.4g °F are %.4g °C", baseC, lowestBaseC, highestBaseC, baseC, celsius(baseC))
	case math.IsNaN(upperC):
		return nil
	case math.IsInf(upperC, 0):
		return fmt.Errorf("the upper threshold is %g: give a number of degrees Celsius, or none", upperC)
	case upperC > highestUpperC:
		return fmt.Errorf("the upper threshold of %g is above %d degrees Celsius: is it in Fahrenheit? %.4g °F are %.4g °C", upperC, highestUpperC, upperC, celsius(upperC))
	case upperC <= baseC:
		return fmt.Errorf("the upper threshold of %g °C isn't above the base of %g °C: swap them or correct one", upperC, baseC)
	}
	return nil
}

func celsius(fahrenheit float64) float64 { return (fahrenheit - 32) * 5 / 9 }
