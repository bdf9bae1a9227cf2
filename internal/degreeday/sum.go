package degreeday

import (
	"fmt"
	"math"
	"sort"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// DayHeat is one day of a sum.
type DayHeat struct {
	Date    civil.Date
	HeatCd  float64 // °C·d of the day; NaN: missing
	SumCd   float64 // °C·d up to and with the day; NaN from the first missing day on
	Missing bool
}

// Sum is heat accumulated over a run of days. A sum over a hole is no sum: with
// one missing day TotalCd is NaN, as the World Meteorological Organization's
// guides allow no missing day in degree-day sums.
type Sum struct {
	Days    []DayHeat    // every day of the run, in order
	Missing []civil.Date // days whose heat isn't known, in order
	TotalCd float64      // °C·d; NaN if any day is missing
	KnownCd float64      // °C·d of the days that aren't missing: the least that TotalCd can be
}

// Accumulate sums the heat of the days over a range, both ends included. days
// is sorted by date with each date once, otherwise the error names the first
// two dates that aren't; it may reach beyond the range, and for double methods
// must reach a day beyond. A date of the range absent from days is missing.
//
// The sum over a season is the sum over its parts: a day's heat depends on
// nothing but its own values and, for double methods, those of the next day.
func (r Rule) Accumulate(days []weather.Day, over civil.Range) (Sum, error) {
	if err := checkOrder(days); err != nil {
		return Sum{}, err
	}
	s := Sum{Days: make([]DayHeat, 0, over.Len())}
	rest := days[sort.Search(len(days), func(i int) bool { return days[i].Date >= over.First }):]
	for n := range over.Len() {
		date := over.First + civil.Date(n)
		var heatCd float64
		var ok bool
		if len(rest) > 0 && rest[0].Date == date {
			heatCd, ok = r.Day(rest[0], dayAfter(rest))
			rest = rest[1:]
		}
		s.add(date, heatCd, ok)
	}
	return s, nil
}

func (s *Sum) add(date civil.Date, heatCd float64, ok bool) {
	if !ok {
		heatCd = math.NaN()
		s.Missing = append(s.Missing, date)
	} else {
		s.KnownCd += heatCd
	}
	s.TotalCd += heatCd // NaN stays NaN
	s.Days = append(s.Days, DayHeat{Date: date, HeatCd: heatCd, SumCd: s.TotalCd, Missing: !ok})
}

func checkOrder(days []weather.Day) error {
	for i := 1; i < len(days); i++ {
		switch before, d := days[i-1].Date, days[i].Date; {
		case d == before:
			return fmt.Errorf("%s is there twice: keep each day once", d)
		case d < before:
			return fmt.Errorf("%s comes after %s: sort the days by date", d, before)
		}
	}
	return nil
}

// dayAfter gives the day after the first of days; if it is absent, a day
// without values.
func dayAfter(days []weather.Day) weather.Day {
	date := days[0].Date + 1
	if len(days) > 1 && days[1].Date == date {
		return days[1]
	}
	return weather.Missing(date)
}
