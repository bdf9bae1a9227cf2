package advance

import (
	"fmt"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// count learns the requirement in every counting of a profile.
func (l *learning) count(p stage.Profile, pooled []*reporter) error {
	l.own = counting{weight: 1, warmth: func(config.Site) []stage.Warmth { return ownWarmths(p) }, needs: ownNeeds(p)}
	var err error
	l.depart(l.own.sights(pooled))
	if l.own.joint, err = l.own.learn(p, pooled); err != nil {
		return err
	}
	for _, h := range p.Heats {
		if h.Fitted {
			if err := l.fit(p, h, pooled); err != nil {
				return err
			}
			continue
		}
		c := extra(p, h, h.Warmth)
		if c.joint, err = c.learn(p, pooled); err != nil {
			return err
		}
		l.more = append(l.more, c)
	}
	return nil
}

func ownWarmths(p stage.Profile) (warmths []stage.Warmth) {
	for _, s := range p.Stages {
		warmths = append(warmths, s.Warmth())
	}
	return warmths
}

func ownNeeds(p stage.Profile) func(config.Site, stage.YearMeans) ([]stage.Requirement, bool) {
	needs := make([]stage.Requirement, len(p.Stages))
	for i, s := range p.Stages {
		needs[i] = s.Requirement()
	}
	return func(config.Site, stage.YearMeans) ([]stage.Requirement, bool) { return needs, true }
}

// extra is a counting beside the stages' own. What it isn't given a requirement
// for is carried over by a site's past years.
func extra(p stage.Profile, h stage.Counting, w stage.Warmth) counting {
	at := func(s config.Site) stage.Warmth {
		w.LatitudeDeg = s.LatDeg
		return w
	}
	return counting{
		name: h.Name, weight: h.Weight,
		warmth: func(s config.Site) []stage.Warmth {
			all := make([]stage.Warmth, len(p.Stages))
			for i := range all {
				all[i] = at(s)
			}
			return all
		},
		needs: func(s config.Site, means stage.YearMeans) ([]stage.Requirement, bool) {
			needs, ok := make([]stage.Requirement, len(p.Stages)), true
			for i, st := range p.Stages {
				need, given := h.Needs[st.Code]
				needs[i], ok = need, ok && given
			}
			if ok {
				return needs, true
			}
			carried, ok := stage.Carry(p.Stages, at(s), means)
			if !ok {
				return nil, false
			}
			for i, st := range p.Stages {
				if need, given := h.Needs[st.Code]; given {
					carried[i] = need
				}
			}
			return carried, true
		},
	}
}

// sights gives what the pooled sites have seen, in this counting.
func (c counting) sights(pooled []*reporter) (sights []stage.Sight) {
	for _, s := range pooled {
		needs, ok := c.needs(s.site, s.means)
		if !ok {
			continue
		}
		for _, sight := range stage.Sights(s.dated, s.means, c.warmth(s.site), needs) {
			sight.Group = s.group
			sights = append(sights, sight)
		}
	}
	return sights
}

// learn conditions on what was seen, with effects estimated where that is
// enough.
func (c counting) learn(p stage.Profile, pooled []*reporter) (*stage.Joint, error) {
	groups := make([][]stage.Past, len(pooled))
	seasons := map[[2]int]bool{}
	for _, s := range c.sights(pooled) {
		groups[s.Group] = append(groups[s.Group], s.Past)
		seasons[[2]int{s.Group, s.Year}] = true
	}
	if len(seasons) < fewestToFit {
		return stage.ConditionApart(defaults(p), groups)
	}
	return stage.EstimateApart(defaults(p), groups, stage.DefaultWeights)
}

func defaults(p stage.Profile) stage.Effects {
	needs, _ := ownNeeds(p)(config.Site{}, nil)
	return stage.DefaultEffects(needs)
}

// fit chooses base, start and fall of a heat by the dates that were seen, and
// keeps each candidate that counts. With too few seasons the heat isn't used.
func (l *learning) fit(p stage.Profile, h stage.Counting, pooled []*reporter) error {
	family := stage.FittedFamily()
	choice := stage.Choice{Prior: func([]stage.Sight) stage.Effects { return defaults(p) }, Fewest: fewestToFit}
	seasons := 0
	for _, s := range pooled {
		seasons += s.seasons()
	}
	if seasons < fewestToFit {
		return nil
	}
	countings := make([]counting, len(family.Warmths))
	for i, w := range family.Warmths {
		countings[i] = extra(p, h, w)
		choice.Candidates = append(choice.Candidates, countings[i].sights(pooled))
	}
	kept, best, err := choice.Weigh()
	if err != nil || best < 0 {
		return err
	}
	if c, lowest, highest, on := family.OnEdge(best); on {
		l.edges = append(l.edges, fmt.Sprintf("the heat %q of the profile %s: the likeliest base of %g °C is on the edge of the grid from %g to %g °C, so the best may lie beyond: give the heat a base of its own, or leave it out", h.Name, p.Key, c, lowest, highest))
	}
	for _, k := range kept {
		c := countings[k.Candidate]
		c.joint, c.weight = k.Joint, h.Weight*k.Weight
		l.more = append(l.more, c)
	}
	return nil
}

// apply gives a site what was learned.
func (l *learning) apply(to *lore, s config.Site, p stage.Profile) error {
	means := byYear(to.past)
	own := l.sites[s.Code]
	if own == nil {
		own = &reporter{site: s, group: -1}
	}
	for i, c := range append([]counting{l.own}, l.more...) {
		needs, ok := c.needs(s, means)
		if !ok {
			continue
		}
		sights := stage.Sights(own.dated, means, c.warmth(s), needs)
		known, err := c.known(own, sights)
		if err != nil {
			return err
		}
		to.heats = append(to.heats, stage.Counted{
			Name: c.name, Weight: c.weight, Warmths: c.warmth(s),
			Belief: known.Season([]stage.Plant{{Tree: -1}}).InHeat(needs),
		})
		if i == 0 {
			to.warnings = l.drift(own, s, sights, needs)
		}
	}
	to.warnings = append(to.warnings, l.edges...)
	to.dates = meanDates(p, own)
	return nil
}

// known is what is known of a site's requirements in a counting.
func (c counting) known(s *reporter, sights []stage.Sight) (stage.Known, error) {
	if s.group >= 0 {
		return c.joint.Of(s.group)
	}
	var past []stage.Past
	for _, sight := range sights {
		past = append(past, sight.Past)
	}
	return c.joint.With(past)
}

// meanDates gives the mean date of each stage that a site has seen in enough
// past seasons.
func meanDates(p stage.Profile, s *reporter) map[int]ensemble.DayNormal {
	var past []ensemble.PastDate
	for _, d := range s.dated {
		past = append(past, ensemble.PastDate{Unit: d.Stage, Day: d.Day()})
	}
	mean, out := ensemble.NewMeanDates(past), map[int]ensemble.DayNormal{}
	for i := range p.Stages {
		var days []float64
		for _, d := range past {
			if d.Unit == i {
				days = append(days, d.Day)
			}
		}
		if len(days) < fewestToDate {
			continue
		}
		// stages differ too much in spread for one that is pooled over them
		_, sd := stat.MeanStdDev(days, nil)
		mean.SD = sd
		out[i] = mean.Of(i)
	}
	return out
}
