package demo

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"sync"

	"budcall/internal/civil"
)

// The years of invented weather: those that a forecast learns from, and the
// season that is played.
const (
	firstYear  = 2016
	seasonYear = 2031
)

// sky is the invented weather over all places. The same seed always gives the
// same weather.
//
// A day's mean is the normal, the warming, and a departure that the places of
// a region share: a slow part, which makes springs warm or cold, and a fast
// one, both of first order (x' = φx + √(1−φ²)·s·ε), known at the corners of a
// grid and drawn between them in the place's favour.
type sky struct {
	seed  uint64
	first civil.Date
	last  civil.Date

	mu      sync.Mutex
	corners map[corner][]float64
}

// corner is a corner of the grid, in steps of stepLatDeg and stepLonDeg.
type corner struct{ lat, lon int }

const (
	stepLatDeg = 6.0
	stepLonDeg = 12.0

	slowPhi, slowSDK = 0.96, 1.3 // about 25 days
	fastPhi          = 0.72      // about 3 days
	fastWinterSDK    = 4.2
	fastSummerSDK    = 2.2
)

// newSky gives the weather of the years first..last.
func newSky(seed uint64, first, last int) *sky {
	return &sky{seed: seed, first: civil.Of(first, 1, 1), last: civil.Of(last, 12, 31), corners: map[corner][]float64{}}
}

// chance gives a source of chance of its own for each name.
func (s *sky) chance(name ...any) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintln(h, name...)
	return rand.New(rand.NewPCG(s.seed, h.Sum64()))
}

// meanC is the true mean temperature of a day at a place.
func (s *sky) meanC(p place, day civil.Date) float64 {
	day = max(s.first, min(day, s.last))
	warming := warmingKPerYear * float64(day.Year()-seasonYear)
	return normalC(p, day) + warming + s.departureK(p, day)
}

// departureK is drawn from the four corners around a place, weighted by
// nearness and scaled so that it departs as much between corners as at them.
func (s *sky) departureK(p place, day civil.Date) float64 {
	lat, lon := p.LatDeg/stepLatDeg, p.LonDeg/stepLonDeg
	i, j := math.Floor(lat), math.Floor(lon)
	u, v := lat-i, lon-j
	var sum, squares float64
	for _, c := range []struct {
		corner
		w float64
	}{
		{corner{int(i), int(j)}, (1 - u) * (1 - v)}, {corner{int(i), int(j) + 1}, (1 - u) * v},
		{corner{int(i) + 1, int(j)}, u * (1 - v)}, {corner{int(i) + 1, int(j) + 1}, u * v},
	} {
		sum += c.w * s.at(c.corner)[day-s.first]
		squares += c.w * c.w
	}
	return sum / math.Sqrt(squares)
}

// at gives the departures of all days at a corner.
func (s *sky) at(c corner) []float64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	if have, ok := s.corners[c]; ok {
		return have
	}
	rng := s.chance("corner", c.lat, c.lon)
	out := make([]float64, s.last-s.first+1)
	slow, fast := rng.NormFloat64(), rng.NormFloat64()
	for i := range out {
		slow = slowPhi*slow + math.Sqrt(1-slowPhi*slowPhi)*rng.NormFloat64()
		fast = fastPhi*fast + math.Sqrt(1-fastPhi*fastPhi)*rng.NormFloat64()
		warm := summer(s.first + civil.Date(i))
		out[i] = slow*slowSDK + fast*(fastWinterSDK+warm*(fastSummerSDK-fastWinterSDK))
	}
	s.corners[c] = out
	return out
}
