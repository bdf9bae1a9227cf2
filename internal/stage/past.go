package stage

import (
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// Basis says where the past dates of a baseline are from.
type Basis string

// The bases.
const (
	BasisSeen     Basis = "seen"     // reports of the site's past seasons
	BasisComputed Basis = "computed" // not seen: the days on which past years reached the profile's median heat
	BasisNone     Basis = "none"     // too few past dates, no baseline
)

// baseline is the past dates of a stage, and the temperatures that go with them.
type baseline struct {
	basis Basis
	dates []yearDay // one a year
	means map[civil.Date]float64
}

// yearDay is a date of a year, in days since its 1 January.
type yearDay struct {
	year int
	day  float64
}

// baseline takes the dates that were reported seen (the middle of the days on
// which each may have been reached, see Dated), from three past seasons
// on, else those that are computed.
func (in Scoring) baseline(st Stage, means map[civil.Date]float64) baseline {
	b := baseline{basis: BasisSeen, means: means}
	for year := in.firstYear(); year < in.Season; year++ {
		for _, d := range DatedOf([]Stage{st}, year, in.Before[year]) {
			b.dates = append(b.dates, yearDay{year, d.Day()})
		}
	}
	if len(b.dates) >= ensemble.LeastDates {
		return b
	}
	b.basis, b.dates = BasisComputed, nil
	for year := in.firstYear(); year < in.Season; year++ {
		if day, ok := computed(st, year, means); ok {
			b.dates = append(b.dates, yearDay{year, float64(day - civil.Of(year, time.January, 1))})
		}
	}
	if len(b.dates) < ensemble.LeastDates {
		return baseline{basis: BasisNone}
	}
	return b
}

// firstYear is the first of which anything is known.
func (in Scoring) firstYear() int {
	first := in.Season
	for year := range in.Before {
		first = min(first, year)
	}
	if len(in.Means) > 0 {
		first = min(first, in.Means[0].Date.Year())
	}
	return first
}

// mostHoles is how many days a past year may lack up to its computed date:
// our assumption.
const mostHoles = 5

// computed is the day of a past year on which the median heat was reached;
// false where it wasn't, or too many days are missing until then.
func computed(st Stage, year int, means map[civil.Date]float64) (civil.Date, bool) {
	from, last := st.Heat.Start.In(year), civil.Of(year, time.December, 31)
	var days []weather.Day
	for day := from; day <= last; day++ {
		d := weather.Missing(day)
		if c, ok := means[day]; ok {
			d.MeanC = c
		}
		days = append(days, d)
	}
	var sum float64
	holes := 0
	for i, h := range dailyHeat(st.Heat.Rule, days, civil.Range{First: from, Last: last}) {
		if math.IsNaN(h) {
			if holes++; holes > mostHoles {
				return 0, false
			}
			continue
		}
		if sum += h; sum >= st.MedianCd {
			return from + civil.Date(i), true
		}
	}
	return 0, false
}

// issued gives both baselines as they would have been issued on a day of the
// season, before any visit; false where there are no past dates.
func (b baseline) issued(season int, day civil.Date) (mean, regression ensemble.Days, ok bool) {
	if len(b.dates) == 0 {
		return mean, regression, false
	}
	past := make([]ensemble.PastDate, len(b.dates))
	for i, d := range b.dates {
		past[i] = ensemble.PastDate{Day: d.day, SoFarC: b.soFar(d.year, season, day)}
	}
	date := ensemble.NewMeanDates(past).Of(0)
	mean = date.In(season)
	if date, ok := ensemble.Regress(past, 0, b.soFar(season, season, day)); ok {
		return mean, date.In(season), true
	}
	return mean, mean, true
}

// soFar is a year's mean temperature from 1 January on, over as many days as
// the season has had before a day of issue.
func (b baseline) soFar(year, season int, issued civil.Date) float64 {
	first := civil.Of(year, time.January, 1)
	meansC := make([]float64, 0, 366)
	for i := range max(0, issued-civil.Of(season, time.January, 1)) {
		c, ok := b.means[first+i]
		if !ok {
			c = math.NaN()
		}
		meansC = append(meansC, c)
	}
	return ensemble.SoFar(meansC)
}

func meansByDate(means []ensemble.Mean) map[civil.Date]float64 {
	out := make(map[civil.Date]float64, len(means))
	for _, m := range means {
		if !math.IsNaN(m.MeanC) {
			out[m.Date] = m.MeanC
		}
	}
	return out
}
