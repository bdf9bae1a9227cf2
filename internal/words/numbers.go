package words

import (
	"math"
	"strconv"
	"strings"
)

// Odds gives a chance between 0 and 1 as "2 in 100". Nothing is called 0 or
// 100 in 100, since no chance of ours is certain.
func (c *Catalogue) Odds(p float64) string {
	n := math.Round(p * 100)
	switch {
	case !(n >= 1):
		return c.Text(OddsLow)
	case n > 99:
		return c.Text(OddsHigh)
	}
	return c.Text(OddsOf, Args{"n": strconv.Itoa(int(n))})
}

// Likelihood gives a chance in a word and in numbers: "unlikely (9 in 100)".
// The bounds of the words are 1, 10, 33, 66, 90 and 99 in 100 (our choice).
func (c *Catalogue) Likelihood(p float64) string {
	word := LikelyNearlySure
	for _, b := range []struct {
		below float64
		word  Key
	}{{0.01, LikelyHardly}, {0.10, LikelyVeryUn}, {1.0 / 3, LikelyUn}, {2.0 / 3, LikelyEven}, {0.90, LikelyLikely}, {0.99, LikelyVery}} {
		if p < b.below {
			word = b.word
			break
		}
	}
	return c.Text(LikelihoodForm, Args{"word": c.Text(word), "odds": c.Odds(p)})
}

// Number gives a number rounded to whole ones.
func (c *Catalogue) Number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return strconv.FormatFloat(math.Round(x)+0, 'f', 0, 64)
}

// HeatSum gives a heat sum in °C·d: "43 degree days".
func (c *Catalogue) HeatSum(cd float64) string {
	return c.Text(HeatForm, Args{"n": c.Number(cd)})
}

// Celsius gives a temperature in °C with one decimal: "8.4 °C".
func (c *Catalogue) Celsius(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return c.Text(CelsiusForm, Args{"n": c.decimal(x)})
}

// Degrees gives a threshold in °C with a decimal only where it has one: "5 °C".
func (c *Catalogue) Degrees(x float64) string {
	if math.Abs(x-math.Round(x)) < 0.05 {
		return c.Text(CelsiusForm, Args{"n": c.Number(x)})
	}
	return c.Celsius(x)
}

// Distance gives a distance in km: "34 km", below 10 km "3.4 km", below 1 km
// "less than 1 km".
func (c *Catalogue) Distance(km float64) string {
	switch {
	case !(km >= 1):
		return c.Text(DistanceNear)
	case km < 9.95:
		return c.Text(DistanceKm, Args{"n": c.decimal(km)})
	}
	return c.Text(DistanceKm, Args{"n": c.Number(km)})
}

// Higher gives by how many metres a site lies higher than its station: "120 m
// higher", "40 m lower", or "at the same height" within 5 m.
func (c *Catalogue) Higher(metres float64) string {
	switch {
	case !(math.Abs(metres) >= 5):
		return c.Text(HeightSame)
	case metres > 0:
		return c.Text(HeightMore, Args{"n": c.Number(metres)})
	}
	return c.Text(HeightLess, Args{"n": c.Number(-metres)})
}

func (c *Catalogue) decimal(x float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(x*10)/10+0, 'f', 1, 64), ".", c.calendar.decimal, 1)
}
