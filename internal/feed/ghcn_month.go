package feed

import (
	"math"
	"math/bits"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// ghcnMonth is one month of one station: 31 values in tenths of °C for each
// element, and a bit a day for what is known of it.
type ghcnMonth struct {
	key      int // year·12 + month-1
	first    civil.Date
	days     int // in this month
	tenths   [3][31]int32
	lines    [3]int // where each element's first record stands; 0 for none
	named    uint32 // days that a record gives a value or the missing code for
	conflict uint32 // days on which two records differ
}

// ghcnNone is no value; no five characters can say it.
const ghcnNone = math.MinInt32

func newGHCNMonth(key int) *ghcnMonth {
	first := civil.Of(key/12, time.Month(key%12+1), 1)
	m := &ghcnMonth{key: key, first: first, days: int(civil.Of(key/12, time.Month(key%12+2), 1) - first)}
	for e := range m.tenths {
		for d := range m.tenths[e] {
			m.tenths[e][d] = ghcnNone
		}
	}
	return m
}

// fill writes the month's named days to the front of days and says how many
// they are.
func (m *ghcnMonth) fill(days []weather.Day) (n int) {
	for named := m.named; named != 0; named &= named - 1 {
		day := bits.TrailingZeros32(named)
		d := &days[n]
		d.Date = m.first + civil.Date(day)
		d.MinC, d.MaxC, d.MeanC = ghcnC(m.tenths[0][day]), ghcnC(m.tenths[1][day]), ghcnC(m.tenths[2][day])
		if m.conflict&(1<<day) != 0 {
			d.Mark = weather.Conflict
		}
		n++
	}
	return n
}

// ghcnC is a stored value in °C.
func ghcnC(tenths int32) float64 {
	if tenths == ghcnNone {
		return math.NaN()
	}
	return float64(tenths) / 10
}

// A day's field is eight characters, read as one little-endian word: five of
// value, then the measurement, quality and source flags.
const (
	ghcnValueBits = 0x00_00_00_ff_ff_ff_ff_ff
	ghcnMissing   = '-' | '9'<<8 | '9'<<16 | '9'<<24 | '9'<<32
)

// ghcnPassed reports whether the quality flag is blank.
func ghcnPassed(word uint64) bool { return byte(word>>48) == ' ' }

// ghcnValue reads the value of a field: spaces, perhaps a minus, digits to
// the right edge. Each character is looked up for its kind and its worth, and
// the five kinds together for what they make, so that no digit needs a branch.
func ghcnValue(word uint64) (tenths int32, ok bool) {
	a, b, c := byte(word), byte(word>>8), byte(word>>16)
	d, e := byte(word>>24), byte(word>>32)
	t := &ghcnCharacters
	pattern := uint(t[a].kind)<<8 | uint(t[b].kind)<<6 | uint(t[c].kind)<<4 | uint(t[d].kind)<<2 | uint(t[e].kind)
	sign := int32(ghcnSigns[pattern])
	n := int32(t[a].worth)*10000 + int32(t[b].worth)*1000 + int32(t[c].worth)*100 + int32(t[d].worth)*10 + int32(t[e].worth)
	return sign * n, sign != 0
}

// The kinds of a character in a value.
const (
	ghcnDigit = iota
	ghcnSpace
	ghcnMinus
	ghcnOther
)

var ghcnCharacters = func() (table [256]struct{ kind, worth uint8 }) {
	for c := range table {
		switch {
		case c >= '0' && c <= '9':
			table[c].worth = uint8(c - '0')
		case c == ' ':
			table[c].kind = ghcnSpace
		case c == '-':
			table[c].kind = ghcnMinus
		default:
			table[c].kind = ghcnOther
		}
	}
	return table
}()

// ghcnSigns gives 1 or -1 for five kinds that make a number, 0 for the rest:
// spaces first, then at most one minus, then at least one digit.
var ghcnSigns = func() (signs [1024]int8) {
	for spaces := range 5 {
		pattern := uint(0)
		for i := range spaces {
			pattern |= ghcnSpace << (8 - 2*i)
		}
		signs[pattern] = 1
		if spaces < 4 {
			signs[pattern|ghcnMinus<<(8-2*spaces)] = -1
		}
	}
	return signs
}()

// ghcnDigits reads a number of digits only.
func ghcnDigits(text []byte) (n int, ok bool) {
	for _, b := range text {
		if b < '0' || b > '9' {
			return 0, false
		}
		n = n*10 + int(b-'0')
	}
	return n, true
}
