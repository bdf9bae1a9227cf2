package postgres

import (
	"encoding/binary"
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// hundredths is a day's minimum, maximum and mean as hundredths of a degree;
// yearMissing where there is none.
type hundredths [3]int16

func hundredthsOf(d weather.Day) hundredths {
	return hundredths{packC(d.MinC), packC(d.MaxC), packC(d.MeanC)}
}

var noValues = hundredths{yearMissing, yearMissing, yearMissing}

// The values of a year are wide: three int16 a day, or narrow, where every day
// lets itself be written so: an int16 of tenths and how many tenths the minimum
// lies below and the maximum above it, a byte each, noByte where there is none.
// The int16 is the mean; above the bounds it is another value, for want of one.
const (
	wide      = 0
	narrow    = 1
	wideDay   = 6
	narrowDay = 4
	noByte    = 0xff

	ofMinimum = 10000 // added to a minimum that stands in the mean's place
	ofMaximum = 20000 // added to a maximum
	bound     = 5000  // half a step; a mean is within ±3000
)

// packValues gives the layout and the values.
func packValues(days []hundredths) (layout byte, values []byte) {
	values = make([]byte, 0, narrowDay*len(days))
	for _, d := range days {
		if values, layout = appendNarrow(values, d); layout == wide {
			break
		}
	}
	if layout == narrow {
		return narrow, values
	}
	values = make([]byte, 0, wideDay*len(days))
	for _, d := range days {
		for _, v := range d {
			values = binary.LittleEndian.AppendUint16(values, uint16(v))
		}
	}
	return wide, values
}

// appendNarrow appends a day, if it can be narrow.
func appendNarrow(b []byte, d hundredths) ([]byte, byte) {
	base, added := d[2], int16(0)
	switch {
	case d == noValues:
		missing := uint16(0x8000) // yearMissing as stored
		return append(binary.LittleEndian.AppendUint16(b, missing), noByte, noByte), narrow
	case base != yearMissing:
	case d[0] != yearMissing:
		base, added = d[0], ofMinimum
	default:
		base, added = d[1], ofMaximum
	}
	below, okBelow := apart(base, d[0])
	above, okAbove := apart(d[1], base)
	if d[0] == yearMissing {
		below, okBelow = noByte, true
	}
	if d[1] == yearMissing {
		above, okAbove = noByte, true
	}
	if base%10 != 0 || base < -30000 || base > 30000 || !okBelow || !okAbove {
		return b, wide
	}
	return append(binary.LittleEndian.AppendUint16(b, uint16(base/10+added)), below, above), narrow
}

// apart is the tenths between two values, if a byte holds them.
func apart(higher, lower int16) (byte, bool) {
	d := int(higher) - int(lower)
	return byte(d / 10), d%10 == 0 && d >= 0 && d/10 < noByte
}

// wideDays unpacks the days that have any value, and gives how many there are.
// Like narrowDays it is run for millions of days, so that it calls nothing.
func (p *packedYear) wideDays(into []weather.Day) (n int) {
	for i := range into {
		b := p.values[i*wideDay : (i+1)*wideDay]
		low, high, mean := int16(binary.LittleEndian.Uint16(b)), int16(binary.LittleEndian.Uint16(b[2:])), int16(binary.LittleEndian.Uint16(b[4:]))
		if low == yearMissing && high == yearMissing && mean == yearMissing {
			continue
		}
		d := &into[n]
		*d = weather.Day{Date: p.first + civil.Date(i), MinC: unpackC(low), MaxC: unpackC(high), MeanC: unpackC(mean)}
		if mean != yearMissing {
			d.MeanOf = p.methodOf(i)
		}
		n++
	}
	return n
}

// narrowMissing is a narrow day without values, as one number.
const narrowMissing = 0xffff8000

// narrowDays unpacks the days that have any value, and gives how many there are.
func (p *packedYear) narrowDays(into []weather.Day) (n int) {
	nan := math.NaN()
	for i := range into {
		packed := binary.LittleEndian.Uint32(p.values[i*narrowDay:])
		if packed == narrowMissing {
			continue
		}
		d := &into[n]
		n++
		*d = weather.Day{Date: p.first + civil.Date(i), MinC: nan, MaxC: nan, MeanC: nan}
		tenths := int(int16(packed))
		switch {
		case tenths > ofMaximum-bound:
			tenths -= ofMaximum
		case tenths > ofMinimum-bound:
			tenths -= ofMinimum
		default:
			d.MeanC, d.MeanOf = float64(tenths)/10, p.methodOf(i)
		}
		if below := int(packed >> 16 & 0xff); below != noByte {
			d.MinC = float64(tenths-below) / 10
		}
		if above := int(packed >> 24); above != noByte {
			d.MaxC = float64(tenths+above) / 10
		}
	}
	return n
}

func packC(c float64) int16 {
	if math.IsNaN(c) || math.Abs(c) > 300 {
		return yearMissing
	}
	return int16(math.Round(c * 100))
}

func unpackC(v int16) float64 {
	if v == yearMissing {
		return math.NaN()
	}
	return float64(v) / 100
}
