package hindcast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// season is one year, forecast from the others. Nothing in it but score looks
// at a sight of the year after the day of issue.
type season struct {
	h        *hindcast
	year     int
	train    []int   // indexes of the sights that may be learned from
	others   []sight // the same
	calendar calendar
	horizon  int // days from 1 January on that weather to come is needed for
	heats    []learned
	members  map[string]ensemble.Members // by temperature file
	departed map[string]departures
	outlooks map[outlook]ensemble.Members
	sums     map[placeWarmth][]float64
	notes    []string
}

// learned is a warmth with what the other years say of its requirement, and
// its share in the forecast.
type learned struct {
	warmth stage.Warmth
	known  stage.Known
	weight float64
}

func (h *hindcast) season(year int) (*season, error) {
	s := &season{
		h: h, year: year, members: map[string]ensemble.Members{}, departed: map[string]departures{},
		outlooks: map[outlook]ensemble.Members{}, sums: map[placeWarmth][]float64{},
	}
	for i, o := range h.panel.sights {
		if o.year != year && (!h.request.PastOnly || o.year < year) {
			s.train, s.others = append(s.train, i), append(s.others, o)
		}
	}
	s.calendar = newCalendar(s.others)
	for _, o := range s.others {
		s.horizon = min(daysOfYear, max(s.horizon, o.day+beyondDays))
	}
	for _, f := range h.families {
		if err := s.learn(f); err != nil {
			return nil, fmt.Errorf("learning from the years beside %d: %w", year, err)
		}
	}
	return s, nil
}

func (s *season) note(format string, args ...any) {
	s.notes = append(s.notes, fmt.Sprintf("%d: ", s.year)+fmt.Sprintf(format, args...))
}

// beyondDays is how far weather to come reaches beyond the latest known date.
const beyondDays = 60

const (
	roundsToCompare = 4    // of estimation, before candidates are weighed
	leastWeight     = 0.05 // of the likeliest, below which a candidate is left out
)

// learn weighs a family's candidates by the likelihood of the dates, and keeps
// what counts.
func (s *season) learn(f family) error {
	likelihoods, best := make([]float64, len(f.felt)), -1
	for j := range f.felt {
		likelihoods[j] = math.Inf(-1)
		known, ok, err := s.estimate(f.felt[j], roundsToCompare)
		if err != nil {
			return err
		}
		if ok {
			likelihoods[j] = s.likelihood(known, f.felt[j])
		}
		if best < 0 || likelihoods[j] > likelihoods[best] {
			best = j
		}
	}
	if math.IsInf(likelihoods[best], -1) {
		s.note("the heat %s isn't used: too few dates with temperatures, or hardly any heat by then", f.name)
		return nil
	}
	if c := f.warmths[best].BaseC; f.bases && (c == lowestBaseC || c == highestBaseC) {
		s.note("the likeliest base of %g °C is on the edge of the grid from %g to %g °C", c, lowestBaseC, highestBaseC)
	}
	return s.keep(f, likelihoods, likelihoods[best])
}

func (s *season) keep(f family, likelihoods []float64, best float64) error {
	first, sum := len(s.heats), 0.0
	for j, l := range likelihoods {
		w := math.Exp(l - best)
		if w < leastWeight {
			continue
		}
		known, _, err := s.estimate(f.felt[j], stage.DefaultWeights.Rounds)
		if err != nil {
			return err
		}
		sum += w
		s.heats = append(s.heats, learned{f.warmths[j], known, w})
	}
	for j := first; j < len(s.heats); j++ {
		s.heats[j].weight /= sum
	}
	return nil
}

// likelihood is the log likelihood of the dates, each by itself,
//
//	Φ((ln H(D) − m)/s) − Φ((ln H(D−1) − m)/s) ≈ φ((y − m)/s)·(rate of the day)/s
//
// times years/sights: the sights of a year share its effect and its weather,
// so that together they tell hardly more than one. (The joint density of all
// sights was tried and chooses worse: it weighs differences within a year.)
func (s *season) likelihood(known stage.Known, f felt) (l float64) {
	years := map[int]bool{}
	for _, k := range s.train {
		if math.IsNaN(f.logRate[k]) || math.IsNaN(f.need[k]) {
			continue
		}
		o := s.h.panel.sights[k]
		years[o.year] = true
		mean, sd := known.Season([]stage.Plant{plantOf(o)}).Of(0, 0)
		l += f.logRate[k] - math.Log(sd) - sq((f.need[k]-mean)/sd)/2
	}
	return l * float64(len(years)) / float64(len(s.train))
}

// The effects given beforehand, as variances on the log scale: our assumption,
// of the size that birches at Hubbard Brook and Harvard Forest show.
const (
	meanVar     = 1
	siteVar     = 0.01
	treeVar     = 0.01
	yearVar     = 0.02
	residualVar = 0.02
)

// estimate learns the requirement in one warmth; ok is false where there are
// too few sights or more than a tenth of them have hardly any heat in it.
func (s *season) estimate(f felt, rounds int) (known stage.Known, ok bool, err error) {
	var past []stage.Past
	var mean float64
	hardly := 0
	for _, i := range s.train {
		if math.IsNaN(f.need[i]) {
			continue
		}
		if f.hardly[i] {
			hardly++
		}
		o := s.h.panel.sights[i]
		past = append(past, stage.Past{Site: o.site, Tree: o.tree, Year: o.year, LogHeat: f.need[i], NoiseVar: f.noise[i]})
		mean += f.need[i]
	}
	if len(past) < fewestYears || hardly*10 > len(past) {
		return stage.Known{}, false, nil
	}
	weights := stage.DefaultWeights
	weights.Rounds = rounds
	known, err = stage.Estimate(stage.Effects{
		MeanLog: []float64{mean / float64(len(past))}, MeanVar: meanVar, SiteVar: siteVar, TreeVar: treeVar,
		Year: mat.NewSymDense(1, []float64{yearVar}), Residual: mat.NewSymDense(1, []float64{residualVar}),
	}, past, weights)
	return known, err == nil, err
}
