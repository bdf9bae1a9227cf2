package trail

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// confidence is the level of every interval and bound.
const confidence = 0.95

// Share is a counted part of a whole, with what the true share may be.
type Share struct {
	Of   int     `json:"of"`
	Got  int     `json:"got"`
	Low  float64 `json:"low"`  // from 0 to 1
	High float64 `json:"high"` // where none was counted, the upper bound on one side
}

// ShareOf gives the share of got in n with the exact binomial interval at 95 %
// (Clopper and Pearson 1934). Where got is 0 there is nothing below, and High
// is the bound on one side, 1 − 0.05^(1/n): 0 of n is not 0 %. Without any it
// may be all or nothing.
func ShareOf(got, n int) Share {
	s := Share{Of: n, Got: got, High: 1}
	if n == 0 {
		return s
	}
	tail := (1 - confidence) / 2
	if got == 0 {
		tail = 1 - confidence
	}
	s.Low, s.High = limits(got, n, tail)
	return s
}

// limits gives the Clopper–Pearson limits of a share with so much probability
// in each tail: quantiles of the Beta distributions that belong to the binomial
// tails.
func limits(got, n int, tail float64) (low, high float64) {
	low, high = 0, 1
	if got > 0 {
		low = distuv.Beta{Alpha: float64(got), Beta: float64(n - got + 1)}.Quantile(tail)
	}
	if got < n {
		high = distuv.Beta{Alpha: float64(got + 1), Beta: float64(n - got)}.Quantile(1 - tail)
	}
	return low, high
}

// Ratio is the ratio of two rates of counted things.
type Ratio struct {
	Estimate float64 `json:"estimate"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	OneSided bool    `json:"one_sided"` // nothing was counted above the line: High is a bound on one side
}

// RatioOf gives the ratio of the rates a/per to b/other with its exact interval
// at 95 %, or the bound on one side where a is 0. Given all a + b counts, a is
// binomial with p = r·per/(r·per + other), so the limits of p are those of the
// ratio r (Przyborowski and Wilenski 1940). Without counts below the line, or
// without anything that they were counted on, there is none.
func RatioOf(a int, per float64, b int, other float64) (r Ratio, ok bool) {
	if b <= 0 || a < 0 || !(per > 0) || !(other > 0) || math.IsInf(per, 0) || math.IsInf(other, 0) {
		return Ratio{}, false
	}
	share := ShareOf(a, a+b)
	odds := func(p float64) float64 { return p / (1 - p) * other / per }
	return Ratio{
		Estimate: float64(a) / per / (float64(b) / other),
		Low:      odds(share.Low), High: odds(share.High), OneSided: a == 0,
	}, true
}
