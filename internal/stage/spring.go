package stage

import (
	"errors"
	"fmt"
	"math"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Counted is one counting of heat and what is known of the requirements in it
// before the season: of one plant, by stage.
type Counted struct {
	Name    string
	Weight  float64
	Warmths []Warmth // by stage
	Belief  Belief   // of one plant
}

// Spring is what a site's forecasts of a day are issued from.
type Spring struct {
	Stages []Stage
	Year   int
	Issued civil.Date // days before it are as observed; nothing later is known
	MeansC []float64  // daily means from 1 January on; NaN or the end is missing. What isn't before Issued is never looked at
	// Doubts states the error of those of MeansC that stand in for a reading,
	// by day as they do; the end is without any.
	Doubts  []weather.Doubt
	Reports []trail.Report // of the season's visits
	Heats   []Counted
	// Members gives the weather to come from a day of the year on, at least to
	// the season's last day for which chances are wanted.
	Members func(civil.MonthDay) ensemble.Members
}

// Ask is a distribution that is wanted: of a stage, or of what differs from it.
type Ask struct {
	Stage int                               // index into Stages
	Of    func(ensemble.Need) ensemble.Need // nil: the stage itself
}

// Days gives the distribution of each day that is asked for, before the stage's
// own visits cut it (see Truncate): the pool, by weight, of the countings,
//
//	P(d) = mean over countings and members of Φ((ln H(d) − m)/s)
//
// where H(d) is the heat from the start through d, and m and s what the stage
// needs by all that was reported of past seasons and, of this one, of the other
// stages. Days before Issued are as observed and shared by all members; a day
// whose reading is missing is taken from each member, drawn to the readings
// around it, so that a gap widens the forecast the more the longer it is and is
// never taken for cold; so does the stated error of days that stand in. No heat,
// no chance.
func (s Spring) Days(asks []Ask) ([]ensemble.Days, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	s.MeansC = s.MeansC[:max(0, min(len(s.MeansC), int(s.Issued-s.first())))]
	out := make([]ensemble.Days, len(asks))
	heats, weights := s.usable()
	for _, h := range heats {
		open := h.Belief.Open(limits(s.Stages, h.Warmths, s.direct(), s.met(h)))
		for _, group := range s.together(h, asks) {
			needs := make([]ensemble.Need, len(group))
			for k, a := range group {
				needs[k].MeanLog, needs[k].SD = open(0, asks[a].Stage)
				if asks[a].Of != nil {
					needs[k] = asks[a].Of(needs[k])
				}
			}
			w := h.Warmths[asks[group[0]].Stage]
			m := s.Members(w.Start)
			skip := int(max(0, m.From-s.first()))
			known, doubts := s.MeansC[min(len(s.MeansC), skip):], s.Doubts[min(len(s.Doubts), skip):]
			for k, d := range w.ReachedInDoubt(m, known, doubts, needs) {
				out[group[k]] = pooled(out[group[k]], d, h.Weight/weights)
			}
		}
	}
	return out, nil
}

// usable gives the countings that members reach back to the start of, and the
// sum of their weights; the stages' own are among them, or there is no forecast.
func (s Spring) usable() (heats []Counted, weights float64) {
next:
	for _, h := range s.Heats {
		for _, w := range h.Warmths {
			if len(s.Members(w.Start).TempC) == 0 {
				continue next
			}
		}
		heats, weights = append(heats, h), weights+h.Weight
	}
	return heats, weights
}

func (s Spring) first() civil.Date { return civil.Of(s.Year, 1, 1) }

// direct is what visits say of each stage itself.
func (s Spring) direct() []Bounds {
	out := make([]Bounds, len(s.Stages))
	if len(s.Reports) == 0 {
		return out
	}
	kept := standing(s.Reports)
	for i, st := range s.Stages {
		out[i] = said(kept, st.Code)
	}
	return out
}

// met gives what a counting's heat had come to by a day.
func (s Spring) met(h Counted) func(int, civil.Date) float64 {
	if len(s.Reports) == 0 {
		return func(int, civil.Date) float64 { return math.NaN() }
	}
	means := Carried(s.MeansC)
	sums := make([][]float64, len(h.Warmths))
	return func(i int, day civil.Date) float64 {
		if sums[i] == nil {
			sums[i] = h.Warmths[i].YearSums(s.Year, means)
		}
		at := int(day - s.first())
		if at < 0 || at >= len(sums[i]) {
			return math.NaN()
		}
		return h.Warmths[i].Met(sums[i], at)
	}
}

// together groups what is asked for by the counting, which is then done once.
func (s Spring) together(h Counted, asks []Ask) (groups [][]int) {
next:
	for a, ask := range asks {
		for g, group := range groups {
			if sameHeat(h.Warmths[asks[group[0]].Stage], h.Warmths[ask.Stage]) {
				groups[g] = append(group, a)
				continue next
			}
		}
		groups = append(groups, []int{a})
	}
	return groups
}

// pooled adds a share of a distribution to others; the one that begins later
// is 0 before, and one that ends sooner stays as it is there.
func pooled(sum, d ensemble.Days, weight float64) ensemble.Days {
	if len(sum.By) == 0 {
		if weight == 1 {
			return d
		}
		sum.From = d.From
	}
	from := min(sum.From, d.From)
	last := max(sum.From+civil.Date(len(sum.By)), d.From+civil.Date(len(d.By)))
	out := ensemble.Days{From: from, By: make([]float64, last-from)}
	for i := range out.By {
		day := from + civil.Date(i)
		out.By[i] = min(1, sum.On(day)+weight*d.On(day))
	}
	return out
}

// check says why there is no forecast, and what to do.
func (s Spring) check() error {
	for _, st := range s.Stages {
		if st.Heat.Rule.Method != degreeday.Mean {
			return fmt.Errorf("stage %s: a forecast needs the method %q, and the profile says %q: the weather to come is known as daily means only; give a requirement on them", st.Code, degreeday.Mean, st.Heat.Rule.Method)
		}
		if !(st.MedianCd > 0) || math.IsInf(st.MedianCd, 1) || !(st.LogSD > 0) || math.IsInf(st.LogSD, 1) {
			return fmt.Errorf("stage %s: it needs %g °C·d with a log spread of %g: give numbers above 0 for both", st.Code, st.MedianCd, st.LogSD)
		}
		from := st.Heat.Start.In(s.Year)
		switch m := s.Members(st.Heat.Start); {
		case len(m.TempC) == 0:
			return fmt.Errorf("stage %s: %w", st.Code, errNoMembers)
		case m.From != from:
			return fmt.Errorf("stage %s: the past years begin on %s and the heat on %s: align them by the stage's start", st.Code, m.From, from)
		}
	}
	if heats, _ := s.usable(); len(heats) == 0 {
		return errors.New("no counting of heat can be used: give the stages' own")
	}
	return nil
}

var errNoMembers = errors.New("no past year of the site's stations is complete enough to forecast from: give a station with history, or fill its years")
