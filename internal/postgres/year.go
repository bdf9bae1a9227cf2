package postgres

import (
	"encoding/binary"
	"fmt"
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// A packed year is a version byte and, for each of its days from 1 January,
// minimum, maximum and mean as little-endian int16 in hundredths of a degree.
const (
	yearVersion = 1
	yearMissing = math.MinInt16
	yearPerDay  = 6
)

// packYear packs the days of one year. Days that are marked aren't used and
// are packed as missing; days of other years are left out.
func packYear(year int, days []weather.Day) []byte {
	first := civil.Of(year, 1, 1)
	n := int(civil.Of(year+1, 1, 1) - first)
	b := make([]byte, 1, 1+n*yearPerDay)
	b[0] = yearVersion
	missing := uint16(0x8000) // yearMissing as stored
	for range 3 * n {
		b = binary.LittleEndian.AppendUint16(b, missing)
	}
	for _, d := range days {
		if d.Date < first || int(d.Date-first) >= n || d.Mark != weather.Usable {
			continue
		}
		at := 1 + int(d.Date-first)*yearPerDay
		for i, c := range []float64{d.MinC, d.MaxC, d.MeanC} {
			binary.LittleEndian.PutUint16(b[at+2*i:], uint16(packC(c)))
		}
	}
	return b
}

func packC(c float64) int16 {
	if math.IsNaN(c) || math.Abs(c) > 300 {
		return yearMissing
	}
	return int16(math.Round(c * 100))
}

// unpackYear gives the days of a packed year that have any value.
func unpackYear(year int, b []byte) ([]weather.Day, error) {
	if len(b) == 0 || b[0] != yearVersion || (len(b)-1)%yearPerDay != 0 {
		return nil, fmt.Errorf("year %d is packed in a way this version doesn't know (%d bytes)", year, len(b))
	}
	first := civil.Of(year, 1, 1)
	days := make([]weather.Day, 0, (len(b)-1)/yearPerDay)
	for at := 1; at < len(b); at += yearPerDay {
		d := weather.Day{
			Date: first + civil.Date((at-1)/yearPerDay),
			MinC: unpackC(b[at:]), MaxC: unpackC(b[at+2:]), MeanC: unpackC(b[at+4:]),
		}
		if !math.IsNaN(d.MinC) || !math.IsNaN(d.MaxC) || !math.IsNaN(d.MeanC) {
			days = append(days, d)
		}
	}
	return days, nil
}

func unpackC(b []byte) float64 {
	v := int16(binary.LittleEndian.Uint16(b))
	if v == yearMissing {
		return math.NaN()
	}
	return float64(v) / 100
}
