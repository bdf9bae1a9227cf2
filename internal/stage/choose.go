package stage

import (
	"math"
)

// Sight is a dated report of a past season, in one counting of heat.
type Sight struct {
	Past
	Group   int     // sites of one group share their years' effects; see Joint
	LogRate float64 // see Felt
	Hardly  bool
}

// Learned is a candidate with what past seasons say of its requirement, and
// its share in the forecast.
type Learned struct {
	Candidate int
	Joint     *Joint
	Weight    float64
}

const (
	roundsToCompare = 4    // of estimation, before candidates are weighed
	leastWeight     = 0.05 // of the likeliest, below which a candidate is left out
)

// Choice is candidates to be weighed: each is the same sights counted in its
// own heat.
type Choice struct {
	Candidates [][]Sight
	Prior      func(sights []Sight) Effects // of a candidate, given its sights that have heat
	Fewest     int                          // sights with heat that a candidate needs
}

// Weigh weighs the candidates by the likelihood of the dates, each by itself,
//
//	Φ((ln H(D) − m)/s) − Φ((ln H(D−1) − m)/s) ≈ φ((y − m)/s)·(rate of the day)/s
//
// to the power years/sights: the sights of a year share its effect and its
// weather, so that together they tell hardly more than one. (The joint density
// of all sights was tried and chooses worse: it weighs differences within a
// year.) What counts is kept, with weights that add up to 1; best is the
// likeliest, −1 where none can be learned from: too few sights, or more than a
// tenth of them with hardly any heat.
func (c Choice) Weigh() (kept []Learned, best int, err error) {
	likelihoods := make([]float64, len(c.Candidates))
	best = -1
	for j := range c.Candidates {
		likelihoods[j] = math.Inf(-1)
		joint, err := c.estimate(j, roundsToCompare)
		if err != nil {
			return nil, -1, err
		}
		if joint == nil {
			continue
		}
		if likelihoods[j], err = likelihood(joint, c.Candidates[j]); err != nil {
			return nil, -1, err
		}
		if best < 0 || likelihoods[j] > likelihoods[best] {
			best = j
		}
	}
	if best < 0 || math.IsInf(likelihoods[best], -1) {
		return nil, -1, nil
	}
	kept, err = c.keep(likelihoods, likelihoods[best])
	return kept, best, err
}

func (c Choice) keep(likelihoods []float64, best float64) ([]Learned, error) {
	var kept []Learned
	var sum float64
	for j, l := range likelihoods {
		w := math.Exp(l - best)
		if w < leastWeight {
			continue
		}
		joint, err := c.estimate(j, DefaultWeights.Rounds)
		if err != nil {
			return nil, err
		}
		sum += w
		kept = append(kept, Learned{j, joint, w})
	}
	for i := range kept {
		kept[i].Weight /= sum
	}
	return kept, nil
}

// estimate learns the requirement in one counting; nil where there are too few
// sights or more than a tenth of them have hardly any heat in it.
func (c Choice) estimate(candidate, rounds int) (*Joint, error) {
	var with []Sight
	groups, hardly := 1, 0
	for _, s := range c.Candidates[candidate] {
		groups = max(groups, s.Group+1)
		if math.IsNaN(s.LogHeat) {
			continue
		}
		with = append(with, s)
		if s.Hardly {
			hardly++
		}
	}
	if len(with) < c.Fewest || hardly*10 > len(with) {
		return nil, nil
	}
	past := make([][]Past, groups)
	for _, s := range with {
		past[s.Group] = append(past[s.Group], s.Past)
	}
	w := DefaultWeights
	w.Rounds = rounds
	return EstimateApart(c.Prior(with), past, w)
}

// likelihood is the log likelihood of the dates.
func likelihood(joint *Joint, sights []Sight) (l float64, err error) {
	years := map[[2]int]bool{}
	known := map[int]Known{}
	for _, s := range sights {
		if math.IsNaN(s.LogRate) || math.IsNaN(s.LogHeat) {
			continue
		}
		k, ok := known[s.Group]
		if !ok {
			if k, err = joint.Of(s.Group); err != nil {
				return 0, err
			}
			known[s.Group] = k
		}
		years[[2]int{s.Group, s.Year}] = true
		mean, sd := k.Season([]Plant{{s.Site, s.Tree}}).Of(0, s.Stage)
		z := (s.LogHeat - mean) / sd
		l += s.LogRate - math.Log(sd) - z*z/2
	}
	return l * float64(len(years)) / float64(len(sights)), nil
}
