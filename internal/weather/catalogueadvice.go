package weather

import (
	"math"
	"slices"
)

// advise gives the advice for the i-th of the ranked; those before it have
// theirs.
func (c Catalogue) advise(ranked []Ranked, i int, taken *int) {
	r := &ranked[i]
	same := slices.IndexFunc(ranked, func(o Ranked) bool {
		return o.Index < r.Index && !c.Candidates[o.Index].Ended && c.same(o.Index, r.Index)
	})
	switch {
	case c.Candidates[r.Index].Ended:
		r.Advice = PastOnly
	case same >= 0:
		r.Advice, r.SameAs = SamePlace, same
	case r.DistanceKm > farKm || math.Abs(r.HigherM) > farHighM:
		r.Advice = TooFar
	case *taken == 0:
		r.Advice = Take
		*taken++
	case *taken <= substitutes:
		r.Advice = Substitute
		*taken++
	default:
		r.Advice = InReserve
	}
}

// completed gives the catalogue in which stations near the site know what
// another provider's list says of the same place, and by candidate whose.
func (c Catalogue) completed() (Catalogue, map[int]string) {
	var near []int
	for i, s := range c.Candidates {
		if c.Site.DistanceKm(s.Place) <= farKm {
			near = append(near, i)
		}
	}
	out, from := slices.Clone(c.Candidates), map[int]string{}
	for _, i := range near {
		for _, k := range near {
			if s := &out[i]; s.lacks() && c.same(i, k) && s.learn(c.Candidates[k]) {
				from[i] = c.Candidates[k].Provider
			}
		}
	}
	c.Candidates = out
	return c, from
}

// lacks reports whether the list is silent on something.
func (s Candidate) lacks() bool {
	return math.IsNaN(s.AltitudeM) || !s.Thermometer || math.IsNaN(s.Years)
}

// learn takes from another list's entry of the place what isn't known.
func (s *Candidate) learn(o Candidate) (learnt bool) {
	if math.IsNaN(s.AltitudeM) && !math.IsNaN(o.AltitudeM) {
		s.AltitudeM, learnt = o.AltitudeM, true
	}
	if !s.Thermometer && o.Thermometer {
		s.Thermometer, learnt = true, true
	}
	if math.IsNaN(s.Years) && !math.IsNaN(o.Years) && !o.Ended {
		s.Years, learnt = o.Years, true
	}
	return learnt
}

// same reports whether two providers' stations are probably one.
func (c Catalogue) same(i, k int) bool {
	a, b := c.Candidates[i], c.Candidates[k]
	apart := math.Abs(a.AltitudeM - b.AltitudeM)
	north := math.Abs(a.LatDeg-b.LatDeg) * math.Pi / 180 * EarthRadiusKm // spares most pairs the trigonometry
	return a.Provider != b.Provider && north <= sameKm && a.DistanceKm(b.Place) <= sameKm && !(apart > sameM)
}
