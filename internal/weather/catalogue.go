package weather

import (
	"cmp"
	"math"
	"slices"

	"budcall/internal/civil"
)

// Candidate is a station of a provider's list that might serve a site.
type Candidate struct {
	Place
	Provider    string     // whose thermometer list it is in; one list names a thermometer once
	Last        civil.Date // its last day; none where it goes on or that isn't known
	Ended       bool       // it measures no more
	Years       float64    // from its first day to its last, or to today; NaN is not known
	Share       float64    // of the days between that are there, 0 to 1; NaN is not known
	Thermometer bool       // it is known to measure temperature
}

// What a doubt about a station counts, as an error of one standard deviation
// in K that is independent of that of distance and altitude. All are our
// assumptions.
const (
	yearToYearK     = 1.5 // spread of a spring month's mean temperature between years: n years say the usual one to within this/√n
	enoughYears     = 30  // more don't say more of today's climate
	unknownYears    = 10  // counted where the years aren't known
	unknownHeightM  = 100 // altitude difference counted where the station's altitude isn't known
	unknownGaugeK   = 1   // it may have no thermometer
	endedK          = 2   // it serves past years only
	farKm, farHighM = 200, 300
	sameKm, sameM   = 1, 20 // nearer to each other, two providers' stations are taken for one
	substitutes     = 2     // that are advised beside the first
)

// Advice is what to do with a station.
type Advice string

// The advices.
const (
	Take       Advice = "take"            // the first of the site
	Substitute Advice = "substitute"      // fills the first one's gaps
	SamePlace  Advice = "same place"      // as a station before it
	PastOnly   Advice = "past years only" // it measures no more
	TooFar     Advice = "too far"         // away or in altitude
	InReserve  Advice = "in reserve"      // would do, but others are better
)

// Serves tells the advices for stations that would do.
func (a Advice) Serves() bool { return a == Take || a == Substitute || a == InReserve }

// Ranked is a Candidate's rank for a site.
type Ranked struct {
	Index      int     // of the candidate
	DistanceKm float64 // from the site
	AltitudeM  float64 // by its list, or by another's of the same place; NaN is not known
	HigherM    float64 // than the site, negative is lower; NaN is not known
	ErrSDC     float64 // error of its days as the site's, one standard deviation in K: ErrorSDC of distance and altitude
	CountedSDC float64 // the same with what is doubted of it, by which stations are ranked
	Advice     Advice
	SameAs     int    // for SamePlace: the rank, from 0, of the station at the same place
	Why        string // the advice's reason, one sentence for people
}

// Catalogue is the candidates for a site.
type Catalogue struct {
	Site       Place // the altitude NaN where it isn't known: altitudes then don't count
	Candidates []Candidate
	Most       int // how many are ranked, the best
}

// Rank ranks the candidates, the best first: by the stated error of distance
// and altitude, together with an error for what is doubted of the station
// (short or unknown history, days missing, no thermometer known, measuring
// ended). What a list doesn't say is taken from another's station at the same
// place. Among equals, and of stations at the same place, the first of the
// candidates is preferred. What measures no more, is too far, or is the same
// thermometer over again is never taken.
func (c Catalogue) Rank() []Ranked {
	c, borrowed := c.completed()
	all := make([]Ranked, len(c.Candidates))
	for i, s := range c.Candidates {
		r := Ranked{Index: i, DistanceKm: c.Site.DistanceKm(s.Place), AltitudeM: s.AltitudeM, HigherM: s.AltitudeM - c.Site.AltitudeM}
		r.ErrSDC = ErrorSDC(r.DistanceKm, c.countedM(r))
		r.CountedSDC = math.Sqrt(sq(r.ErrSDC) + s.doubtVariance())
		all[i] = r
	}
	slices.SortStableFunc(all, func(a, b Ranked) int { return cmp.Compare(a.CountedSDC, b.CountedSDC) })
	best := slices.Clone(all[:min(len(all), max(0, c.Most))]) // lets go of the rest
	taken := 0
	for i := range best {
		c.advise(best, i, &taken)
		best[i].Why = c.why(best[i])
		if from := borrowed[best[i].Index]; from != "" && best[i].Advice.Serves() {
			best[i].Why += "; what its list doesn't say is from " + from + "'s station at the same place"
		}
	}
	return best
}

// countedM is the altitude difference that counts.
func (c Catalogue) countedM(r Ranked) float64 {
	switch {
	case math.IsNaN(c.Site.AltitudeM):
		return 0 // the same for all
	case math.IsNaN(r.HigherM):
		return unknownHeightM
	}
	return r.HigherM
}

func (s Candidate) doubtVariance() float64 {
	v := sq(yearToYearK) / s.countedYears()
	if !s.Thermometer {
		v += sq(unknownGaugeK)
	}
	if s.Ended {
		v += sq(endedK)
	}
	return v
}

// countedYears is the years of its past that count, at least one.
func (s Candidate) countedYears() float64 {
	years := s.Years
	if math.IsNaN(years) {
		years = unknownYears
	}
	if !math.IsNaN(s.Share) {
		years *= s.Share
	}
	return min(enoughYears, max(1, years))
}
