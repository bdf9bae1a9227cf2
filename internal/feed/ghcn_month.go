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
	m := ghcnEmpty
	m.key, m.first, m.days = key, first, int(civil.Of(key/12, time.Month(key%12+2), 1)-first)
	return &m
}

// ghcnEmpty is a month without values.
var ghcnEmpty = func() (m ghcnMonth) {
	for e := range m.tenths {
		for d := range m.tenths[e] {
			m.tenths[e][d] = ghcnNone
		}
	}
	return m
}()

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
// the right edge. The five characters are treated together: what isn't a digit
// must stand at the left and be blanks with at most one minus after them; the
// digits are added up in pairs.
func ghcnValue(word uint64) (tenths int32, ok bool) {
	text := word & ghcnValueBits
	blanks := ^text & ghcnDigitBits >> 4 // a one in the place of each character that can be no digit
	n := blanks * 0x01_01_01_01_01 >> 32 & 7
	form := &ghcnForms[n]
	low := text & form.mask
	digits := text &^ form.mask
	valid := blanks == form.blanks && n < 5 && (digits&ghcnHigh|(digits+ghcnSixes)&ghcnHigh) == ghcnThrees&^form.mask
	if low != form.spaces && low != form.minus || !valid {
		return 0, false
	}
	digits = (digits & ghcnLow) << 24 // eight digits, the first three 0
	digits = digits*10 + digits>>8
	v := int32(((digits&0x000000ff000000ff)*(100+1000000<<32) + (digits>>16&0x000000ff000000ff)*(1+10000<<32)) >> 32)
	if low != form.spaces {
		v = -v
	}
	return v, true
}

// Five characters at a time.
const (
	ghcnDigitBits = 0x10_10_10_10_10 // set in '0' to '9', not in ' ' and '-'
	ghcnHigh      = 0xf0_f0_f0_f0_f0
	ghcnLow       = 0x0f_0f_0f_0f_0f
	ghcnThrees    = 0x30_30_30_30_30
	ghcnSixes     = 0x06_06_06_06_06 // carries what is above '9' into the high half
)

// ghcnForm is what must stand before the digits where n characters are none.
type ghcnForm struct {
	mask, blanks, spaces, minus uint64
}

var ghcnForms = func() (forms [8]ghcnForm) {
	for n := range 6 {
		f := &forms[n]
		for i := range n {
			f.mask |= 0xff << (8 * i)
			f.blanks |= 1 << (8 * i)
			f.spaces |= ' ' << (8 * i)
		}
		f.minus = f.spaces
		if n > 0 {
			f.minus ^= (' ' ^ '-') << (8 * (n - 1))
		}
	}
	return forms
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
