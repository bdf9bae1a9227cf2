package ensemble

import "math"

// The standard normal distribution function Φ as a table of parabolas. Each
// meets Φ at the ends and in the middle of its cell, so the curve is unbroken
// and never falls; between, it is off by at most max|Φ‴|·h³/125 for cells of
// width h: 0.4·(1/32)³/125 ≈ 1.0·10⁻⁷. What lies beyond ±5.1875 is counted as 0
// or 1, which is off by Φ(−5.1875) ≈ 1.1·10⁻⁷.
const (
	normalReach = 5.1875 // in standard deviations to either side
	normalPerSD = 32     // cells
	// normalMiddle is where the mean lies, in cells from the table's start.
	normalMiddle = normalReach * normalPerSD
)

// parabola is a + u·(b + u·c), u being the place in cells from the table's
// start: not from its own, which would be one more thing to work out. One or two
// of sixteen digits are lost to that.
type parabola struct{ a, b, c float64 }

// through gives the parabola with these values at u, u + 1/2 and u + 1.
func through(u, start, middle, end float64) parabola {
	c := 2 * (start - 2*middle + end)
	b := end - start - c
	return parabola{a: start - u*(b-u*c), b: b - 2*u*c, c: c}
}

// normalTable has more cells than the reach needs, so that no index has to be
// checked.
var normalTable = func() (table [512]parabola) {
	for i := range table {
		at := func(u float64) float64 { return normal((u - normalMiddle) / normalPerSD) }
		u := float64(i)
		table[i] = through(u, at(u), at(u+0.5), at(u+1))
	}
	return table
}()

// normal is Φ(z), to the last digits.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// addNormal adds Φ of each logarithm to by; scale·logarithm + start is its place
// in the table. All logarithms are within the reach.
func addNormal(by, logs []float64, scale, start float64) {
	by = by[:len(logs)]
	for i, l := range logs {
		u := l*scale + start
		p := &normalTable[uint(int(u))%uint(len(normalTable))]
		by[i] += (p.a + u*p.b) + u*u*p.c
	}
}
