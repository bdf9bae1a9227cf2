package hindcast

import (
	"fmt"

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
	climates map[string]*ensemble.Climate
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
		h: h, year: year, members: map[string]ensemble.Members{}, climates: map[string]*ensemble.Climate{},
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

// learn weighs a family's candidates by the likelihood of the dates, and keeps
// what counts.
func (s *season) learn(f family) error {
	choice := stage.Choice{Prior: prior, Fewest: fewestYears}
	for _, felt := range f.felt {
		choice.Candidates = append(choice.Candidates, s.sights(felt))
	}
	kept, best, err := choice.Weigh()
	if err != nil {
		return err
	}
	if best < 0 {
		s.note("the heat %s isn't used: too few dates with temperatures, or hardly any heat by then", f.of.Name)
		return nil
	}
	if c, lowest, highest, on := f.of.OnEdge(best); on {
		s.note("the likeliest base of %g °C is on the edge of the grid from %g to %g °C", c, lowest, highest)
	}
	for _, k := range kept {
		known, err := k.Joint.Of(0)
		if err != nil {
			return err
		}
		s.heats = append(s.heats, learned{f.warmths[k.Candidate], known, k.Weight})
	}
	return nil
}

// sights gives what the other years tell in one warmth. All places are taken to
// share their years.
func (s *season) sights(f felt) (sights []stage.Sight) {
	for _, i := range s.train {
		o, of := s.h.panel.sights[i], f.of[i]
		sights = append(sights, stage.Sight{
			Past:    stage.Past{Site: o.site, Tree: o.tree, Year: o.year, LogHeat: of.LogHeat, NoiseVar: of.NoiseVar},
			LogRate: of.LogRate, Hardly: of.Hardly,
		})
	}
	return sights
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

// prior is the effects given beforehand, about the mean of what was seen.
func prior(sights []stage.Sight) stage.Effects {
	var mean float64
	for _, s := range sights {
		mean += s.LogHeat
	}
	return stage.Effects{
		MeanLog: []float64{mean / float64(len(sights))}, MeanVar: meanVar, SiteVar: siteVar, TreeVar: treeVar,
		Year: mat.NewSymDense(1, []float64{yearVar}), Residual: mat.NewSymDense(1, []float64{residualVar}),
	}
}
