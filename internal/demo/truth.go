package demo

import (
	"math"
	"sort"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// truth is the day on which each stage really came at a site; the program
// doesn't know it. A stage that this year didn't come is absent.
type truth map[stage.BBCH]civil.Date

// How far a site's trees are from the profile's medians: a share of the
// spread that is the same for all stages, and one that each stage has for
// itself. At most maxDeparture spreads, so that a season is neither without
// surprise nor without seed.
const (
	sharedDeparture = 0.7
	ownDeparture    = 0.5
	maxDeparture    = 1.0
)

// hidden draws the truth of a site from its weather and its profile.
func (s *sky) hidden(site config.Site, profile stage.Profile) truth {
	rng := s.chance("truth", site.Code)
	shared := rng.NormFloat64()
	p := place{site.LatDeg, site.LonDeg, site.AltitudeM}
	days := s.days(p, civil.Range{First: civil.Of(seasonYear, 1, 1), Last: civil.Of(seasonYear, 12, 31)})
	out := truth{}
	last := map[bool]civil.Date{} // of the leaves' series, and of the flowers'
	for _, st := range profile.Stages {
		z := sharedDeparture*shared + ownDeparture*rng.NormFloat64()
		need := st.MedianCd * math.Exp(st.LogSD*max(-maxDeparture, min(z, maxDeparture)))
		i := sort.Search(len(days), func(i int) bool {
			heat, _ := stage.HeatSoFar(st, seasonYear, days, days[i].Date)
			return heat >= need
		})
		if i == len(days) {
			continue
		}
		flower := st.Code >= stage.Flowering
		day := max(days[i].Date, last[flower]+1)
		if flower {
			day = max(day, out[stage.BudBreak])
		}
		out[st.Code], last[flower] = day, day
	}
	return out
}

// days is the true weather of a place.
func (s *sky) days(p place, r civil.Range) []weather.Day {
	out := make([]weather.Day, 0, r.Len())
	for day := r.First; day <= r.Last; day++ {
		half := between(halfRangeC, day)
		mean := s.meanC(p, day)
		out = append(out, weather.Day{Date: day, MinC: mean - half, MaxC: mean + half, MeanC: mean})
	}
	return out
}

// reached tells whether a stage has come by a day.
func (t truth) reached(code stage.BBCH, day civil.Date) bool {
	came, ok := t[code]
	return ok && came <= day
}
