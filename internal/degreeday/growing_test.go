package degreeday_test

import (
	"testing"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// year2031 is a year's days from means that start on 1 January.
func year2031(means ...float64) []weather.Day {
	var days []weather.Day
	for i, m := range means {
		d := weather.Missing(civil.Of(2031, 1, 1+i))
		d.MeanC = m
		days = append(days, d)
	}
	return days
}

func without(days []weather.Day, which ...int) []weather.Day {
	var out []weather.Day
	for i, d := range days {
		gone := false
		for _, w := range which {
			gone = gone || i == w
		}
		if !gone {
			out = append(out, d)
		}
	}
	return out
}

// TestTheStartOfTheGrowingSeason follows the ETCCDI's definition, first span of
// at least 6 days with a mean above 5 °C; what a missing day and exactly 5.0 do
// is our own reading.
func TestTheStartOfTheGrowingSeason(t *testing.T) {
	warmFrom3 := year2031(1, 2, 6, 7, 6, 7, 6, 7, 6)
	extremesOnly := year2031(1, 2, 6, 7, 6, 7, 6, 7, 6)
	for i := range extremesOnly {
		m := extremesOnly[i].MeanC
		extremesOnly[i].MinC, extremesOnly[i].MaxC, extremesOnly[i].MeanC = m-3, m+3, none
	}
	mixed := append([]weather.Day(nil), extremesOnly...)
	mixed[0].MeanC = 1
	marked := append([]weather.Day(nil), warmFrom3...)
	marked[4].Mark = weather.Conflict
	lastYear := weather.Day{Date: civil.Of(2030, 12, 31), MinC: none, MaxC: none, MeanC: 9}
	for name, c := range map[string]struct {
		days []weather.Day
		want string // "-": not known or not yet
	}{
		"six warm days in a row":                                {warmFrom3, "2031-01-03"},
		"warm from the first day":                               {year2031(6, 6, 6, 6, 6, 6), "2031-01-01"},
		"the first span counts, not the longest":                {year2031(6, 6, 6, 6, 6, 6, 2, 6, 6, 6, 6, 6, 6, 6, 6), "2031-01-01"},
		"five warm days aren't enough":                          {year2031(6, 6, 6, 6, 6, 2, 2), "-"},
		"not yet six":                                           {warmFrom3[:7], "-"},
		"exactly 5.0 isn't above":                               {year2031(6, 6, 6, 5.0, 6, 6, 6, 6, 6, 5.1), "2031-01-05"},
		"a missing day among warm ones hides the start":         {without(warmFrom3, 4), "-"},
		"a marked day among warm ones hides the start":          {marked, "-"},
		"a missing day among cold ones hides nothing":           {without(year2031(1, 1, 1, 1, 6, 6, 6, 6, 6, 6), 1), "2031-01-05"},
		"a missing day next to the span may belong to it":       {without(year2031(1, 1, 1, 3, 6, 6, 6, 6, 6, 6), 3), "-"},
		"six absent days may have been warm":                    {without(year2031(1, 1, 1, 1, 1, 1, 1, 1, 6, 6, 6, 6, 6, 6), 1, 2, 3, 4, 5, 6), "-"},
		"five absent days between cold ones can't":              {without(year2031(1, 1, 1, 1, 1, 1, 1, 6, 6, 6, 6, 6, 6), 1, 2, 3, 4, 5), "2031-01-08"},
		"a series that begins too late to tell":                 {without(warmFrom3, 0, 1, 2, 3, 4, 5, 6), "-"},
		"(min+max)/2 in a year without any mean":                {extremesOnly, "2031-01-03"},
		"one published mean, and the extremes of others unused": {mixed, "-"},
		"the warm end of last year isn't this year's":           {append([]weather.Day{lastYear}, year2031(6, 6, 6, 6, 6, 2)...), "-"},
		"no days": {nil, "-"},
	} {
		t.Run(name, func(t *testing.T) {
			got, ok := degreeday.GrowingSeasonStart(c.days, 2031)
			if got.String() != c.want || ok != (c.want != "-") {
				t.Errorf("%s (%v), want %s", got, ok, c.want)
			}
		})
	}
}
