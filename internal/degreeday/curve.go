package degreeday

import "math"

// Each function takes a day's minimum n and maximum x, n ≤ x, and a threshold,
// all in °C. The order of the cases keeps every divisor above 0: past the first
// two, n < threshold < x.

// fourCase is the rule of the British and Irish weather services (as printed
// by Met Éireann). At M = l both middle cases agree.
func fourCase(n, x, l float64) float64 {
	m := (n + x) / 2
	switch {
	case n >= l:
		return m - l
	case x <= l:
		return 0
	case m > l:
		return (x-l)/2 - (l-n)/4
	}
	return (x - l) / 4
}

// triangle is the area above l of a straight line from n to x.
func triangle(n, x, l float64) float64 {
	switch {
	case n >= l:
		return (n+x)/2 - l
	case x <= l:
		return 0
	}
	return (x - l) * ((x - l) / (x - n)) / 2
}

// triangleAbove is the share of the day that the line is above u.
func triangleAbove(n, x, u float64) float64 {
	switch {
	case n >= u:
		return 1
	case x <= u:
		return 0
	}
	return (x - u) / (x - n)
}

// sine is the area above l of a sine between n and x. cos θ is √(1 − sin²θ),
// θ being within ±π/2.
func sine(n, x, l float64) float64 {
	switch {
	case n >= l:
		return (n+x)/2 - l
	case x <= l:
		return 0
	}
	m, w := (n+x)/2, (x-n)/2
	s := sinus(l, m, w)
	return max(0, ((m-l)*(math.Pi/2-math.Asin(s))+w*math.Sqrt(1-s*s))/math.Pi)
}

// sineAbove is the share of the day that the sine is above u.
func sineAbove(n, x, u float64) float64 {
	switch {
	case n >= u:
		return 1
	case x <= u:
		return 0
	}
	return 0.5 - math.Asin(sinus(u, (n+x)/2, (x-n)/2))/math.Pi
}

// sinus is the sine of the angle at which a sine of mean m and half range w
// passes a threshold. Rounding may carry it past ±1 where an extreme touches
// the threshold, and the arc sine of that is no number.
func sinus(threshold, m, w float64) float64 { return max(-1, min(1, (threshold-m)/w)) }
