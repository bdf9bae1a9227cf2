package postgres

import (
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// A packed year is a version byte, the layout of its values, the methods of its
// means, and for each of its days from 1 January minimum, maximum and mean; see
// yearvalues.go. The methods are one byte where the year has one
// (weather.MeanOf), else the byte severalMethods and one for each day. Version
// 1 has neither layout nor methods, and wide values.
const (
	yearVersion    = 2
	yearVersion1   = 1
	yearMissing    = math.MinInt16
	severalMethods = 0xff
	noMean         = 0xfe // in the place of a method; never stored
)

// daysOf is the days of a year.
func daysOf(year int) int { return int(civil.Of(year+1, 1, 1) - civil.Of(year, 1, 1)) }

// packYear packs the days of one year. Days that are marked aren't used and
// leave what is said of them before; days of other years are left out.
func packYear(year int, days []weather.Day) []byte {
	first, n := civil.Of(year, 1, 1), daysOf(year)
	methods := slices.Repeat([]byte{noMean}, n)
	values := slices.Repeat([]hundredths{noValues}, n)
	for _, d := range days {
		i := int(d.Date - first)
		if i < 0 || i >= n || d.Mark != weather.Usable {
			continue
		}
		values[i] = hundredthsOf(d)
		methods[i] = noMean
		if !math.IsNaN(d.MeanC) {
			methods[i] = byte(d.MeanOf)
		}
	}
	layout, packed := packValues(values)
	return slices.Concat([]byte{yearVersion, layout}, packMethods(methods), packed)
}

// packMethods is the one method of the days that have a mean, or each day's.
func packMethods(methods []byte) []byte {
	kinds := slices.DeleteFunc(slices.Clone(methods), func(m byte) bool { return m == noMean })
	slices.Sort(kinds)
	switch kinds = slices.Compact(kinds); len(kinds) {
	case 0:
		return []byte{byte(weather.MeanUnknown)}
	case 1:
		return kinds
	}
	return append([]byte{severalMethods}, methods...)
}

// packedYear is a packed year that is understood.
type packedYear struct {
	first   civil.Date
	method  weather.MeanOf
	methods []byte // of each day; nil: method holds for all
	layout  byte
	values  []byte
}

// openYear looks at the form of a packed year.
func openYear(year int, b []byte) (p packedYear, err error) {
	n := daysOf(year)
	p.first = civil.Of(year, 1, 1)
	switch {
	case len(b) < 3:
	case b[0] == yearVersion1:
		p.layout, p.values = wide, b[1:]
	case b[0] == yearVersion && b[2] != severalMethods:
		p.layout, p.method, p.values = b[1], weather.MeanOf(b[2]), b[3:]
	case b[0] == yearVersion && len(b) > 3+n:
		p.layout, p.methods, p.values = b[1], b[3:3+n], b[3+n:]
	}
	if size := map[byte]int{wide: wideDay, narrow: narrowDay}[p.layout]; len(p.values) == 0 || len(p.values) != n*size {
		return p, fmt.Errorf("year %d is packed in a way this version doesn't know (%d bytes): use the version that wrote it, or fetch the year again", year, len(b))
	}
	return p, nil
}

// appendYear appends the days of a packed year that have any value.
func appendYear(days []weather.Day, year int, b []byte) ([]weather.Day, error) {
	p, err := openYear(year, b)
	if err != nil {
		return days, err
	}
	n := daysOf(year)
	days = slices.Grow(days, n)
	into := days[len(days) : len(days)+n]
	used := 0
	if p.layout == narrow {
		used = p.narrowDays(into)
	} else {
		used = p.wideDays(into)
	}
	return days[:len(days)+used], nil
}

// methodOf is how a day's mean came about.
func (p *packedYear) methodOf(i int) weather.MeanOf {
	if p.methods != nil {
		return weather.MeanOf(p.methods[i])
	}
	return p.method
}

// unpackYear gives the days of a packed year that have any value.
func unpackYear(year int, b []byte) ([]weather.Day, error) { return appendYear(nil, year, b) }
