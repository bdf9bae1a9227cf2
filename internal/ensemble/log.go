package ensemble

import "math"

// Natural logarithms of many heats at once. A doubling is cut into 32 equal
// cells, chosen by a number's exponent and the first bits of its mantissa, and
// in each the logarithm is a cubic in the number itself through four points:
// off by at most 3·10⁻⁹. The table reaches from 2⁻⁶ to 2¹⁴, 16384 °C·d; what
// lies outside goes to the library.
const (
	logCellBits  = 5
	logBitsShift = 52 - logCellBits
	logOctaves   = 20
	logFirst     = (1023 - 6) << logCellBits // what the bits of 2⁻⁶ are shifted to
)

// cubic is a + x·(b + x·(c + x·d)) over its cell.
type cubic struct{ a, b, c, d float64 }

var logTable = func() (table [logOctaves << logCellBits]cubic) {
	edge := func(i int) float64 { return math.Float64frombits(uint64(i+logFirst) << logBitsShift) }
	for i := range table {
		table[i] = cubicOver(edge(i), edge(i+1), math.Log)
	}
	return table
}()

// cubicOver is the cubic that meets f at the ends and the thirds of a cell.
func cubicOver(start, end float64, f func(float64) float64) cubic {
	var x, y [4]float64
	for k := range x {
		x[k] = start + (end-start)*float64(k)/3
		y[k] = f(x[k])
	}
	for level := 1; level < 4; level++ { // Newton's divided differences
		for k := 3; k >= level; k-- {
			y[k] = (y[k] - y[k-1]) / (x[k] - x[k-level])
		}
	}
	p := cubic{a: y[3]} // multiplied out from the inside
	for k := 2; k >= 0; k-- {
		p = cubic{a: y[k] - x[k]*p.a, b: p.a - x[k]*p.b, c: p.b - x[k]*p.c, d: p.c}
	}
	return p
}

// logsOf sets each to[i] to ln(x[i] + offset).
func logsOf(to, x []float64, offset float64) {
	to = to[:len(x)]
	for i, v := range x {
		v += offset
		cell := math.Float64bits(v)>>logBitsShift - logFirst
		if cell >= uint64(len(logTable)) {
			to[i] = math.Log(v)
			continue
		}
		p := &logTable[cell]
		to[i] = (p.a + v*p.b) + v*v*(p.c+v*p.d)
	}
}
