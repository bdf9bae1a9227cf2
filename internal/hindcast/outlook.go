package hindcast

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// outlook is a place and the day on which its weather to come is looked at.
type outlook struct {
	file   string
	issued int // days since 1 January
}

// outlook gives the members as seen on a day.
func (s *season) outlook(k outlook) ensemble.Members {
	if m, ok := s.outlooks[k]; ok {
		return m
	}
	m := s.membersOf(k.file)
	if len(m.TempC) > 0 {
		m = s.climates[k.file].Persist(s.h.thermometers[k.file].years[s.year], k.issued)
	}
	if s.h.request.Simulated {
		m = ensemble.Blend(m, s.simulated(k), m.From+civil.Date(k.issued))
	}
	s.outlooks[k] = m
	return m
}

func (s *season) membersOf(file string) ensemble.Members {
	m, ok := s.members[file]
	if ok {
		return m
	}
	for _, horizon := range []int{s.horizon, s.usualHorizon()} {
		m = ensemble.FromMeans(s.h.thermometers[file].means, ensemble.Alignment{
			Start: civil.MonthDay{Month: 1, Day: 1}, Year: s.year, Horizon: horizon, Others: !s.h.request.PastOnly,
		})
		if len(m.TempC) > 0 {
			break
		}
	}
	s.members[file] = m
	if len(m.TempC) > 0 {
		s.climates[file] = ensemble.NewClimate(m)
	}
	return m
}

// usualHorizon is how far weather to come is needed for nine in ten dates: for
// files that end early in the year, when a single late date, perhaps a wrong
// one, asks for more than any year has.
func (s *season) usualHorizon() int {
	var days []int
	for _, o := range s.others {
		days = append(days, o.day)
	}
	if len(days) == 0 {
		return s.horizon
	}
	slices.Sort(days)
	return min(s.horizon, days[(len(days)-1)*9/10]+beyondDays)
}

// The simulated short-range forecast: the true temperatures with an error that
// grows from day 1 to day 10 and goes on from day to day.
const (
	forecastDays   = 10
	errorDay1K     = 1.5
	errorDay10K    = 4.0
	errorDayToDay  = 0.7
	simulationSeed = 20310401
)

func (s *season) simulated(k outlook) []ensemble.Mean {
	h := fnv.New64a()
	h.Write([]byte(k.file))
	chance := rand.New(rand.NewPCG(simulationSeed+uint64(s.year)*1000+uint64(k.issued), h.Sum64()))
	truth, first := s.h.thermometers[k.file].years[s.year], civil.Of(s.year, 1, 1)
	var forecast []ensemble.Mean
	z := chance.NormFloat64()
	for i := range forecastDays {
		if day := k.issued + i; day < daysOfYear && !math.IsNaN(truth[day]) {
			sd := errorDay1K + (errorDay10K-errorDay1K)*float64(i)/(forecastDays-1)
			forecast = append(forecast, ensemble.Mean{Date: first + civil.Date(day), MeanC: truth[day] + sd*z})
		}
		z = errorDayToDay*z + math.Sqrt(1-sq(errorDayToDay))*chance.NormFloat64()
	}
	return forecast
}
