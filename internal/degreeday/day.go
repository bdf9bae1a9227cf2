package degreeday

import (
	"math"

	"budcall/internal/weather"
)

// No air is colder or hotter than this, in °C. It keeps NaN, infinities and
// sentinels such as -9999 out of the formulae; the judgement of what is
// plausible at a station is made before, and arrives as the day's mark.
const (
	coldestC = -273.15
	hottestC = 1000
)

// temperature reports whether a value is there and can be one of air.
func temperature(c float64) bool { return c >= coldestC && c <= hottestC }

// Day gives the heat of a day in °C·d, never negative and never above the
// warmest value that was used less the base. ok is false, and the heat 0, where a value
// that the method needs is missing or marked, or the day's minimum is above
// its maximum.
//
// Only double methods look at next, and there at the minimum alone; it is not
// used if next is not the day after, or is marked. They take no offence at a
// next minimum above today's maximum, which real series have where minimum and
// maximum are read over different windows: the half day then simply rises.
func (r Rule) Day(today, next weather.Day) (heatCd float64, ok bool) {
	if !used(today) {
		return 0, false
	}
	if r.Method == Mean {
		if !temperature(today.MeanC) {
			return 0, false
		}
		return r.OfMean(today.MeanC), true
	}
	if !temperature(today.MinC) || !temperature(today.MaxC) {
		return 0, false
	}
	heatCd = r.between(today.MinC, today.MaxC)
	if !r.Method.Double() {
		return heatCd, true
	}
	if !used(next) || next.Date != today.Date+1 || !temperature(next.MinC) {
		return 0, false
	}
	low, high := min(next.MinC, today.MaxC), max(next.MinC, today.MaxC)
	return (heatCd + r.between(low, high)) / 2, true
}

// used reports whether a day may be used at all: it is unmarked, and its
// extremes, if both are there, are in order.
func used(d weather.Day) bool { return d.Mark == weather.Usable && !(d.MinC > d.MaxC) }

// OfMean gives the heat of a day with a given mean, cut to the upper
// threshold: the formula of Mean and of Average1.
func (r Rule) OfMean(meanC float64) float64 { return max(0, r.cut(meanC)-r.BaseC) }

func (r Rule) cut(c float64) float64 {
	if c > r.UpperC { // never true of no upper threshold
		return r.UpperC
	}
	return c
}

// between gives the heat of a day with minimum n and maximum x, which is also
// twice that of the half day from the one to the other.
func (r Rule) between(n, x float64) float64 {
	switch r.Method {
	case Average1:
		return r.OfMean((n + x) / 2)
	case Average2:
		return (max(r.cut(n), r.BaseC)+max(r.cut(x), r.BaseC))/2 - r.BaseC
	case FourCase:
		return r.cutOff(fourCase, nil, n, x)
	case Triangle, DoubleTriangle:
		return r.cutOff(triangle, triangleAbove, n, x)
	}
	return r.cutOff(sine, sineAbove, n, x)
}

// cutOff applies the cutoff to a method whose heat above a threshold and share
// of the day above it are given. A method without a share has only the
// horizontal cutoff, which doesn't ask for it.
func (r Rule) cutOff(heat, share func(n, x, threshold float64) float64, n, x float64) float64 {
	d := heat(n, x, r.BaseC)
	if math.IsNaN(r.UpperC) || x <= r.UpperC {
		return d
	}
	over := heat(n, x, r.UpperC)
	switch r.Cutoff {
	case Intermediate:
		d -= 2 * over
	case Vertical:
		d -= over + (r.UpperC-r.BaseC)*share(n, x, r.UpperC)
	default:
		d -= over
	}
	return max(0, d) // below 0 on very hot days (intermediate), and by rounding
}
