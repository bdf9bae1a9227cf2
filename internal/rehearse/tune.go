package rehearse

import (
	"fmt"

	"budcall/internal/civil"
)

// Fold says on which years plans are tuned and on which they are reported.
type Fold string

// The folds. Both tunes on odd years for the even ones and the other way round.
const (
	Even Fold = "even" // tuned on odd years, reported on even ones
	Odd  Fold = "odd"  // the other way round
	Both Fold = "both"
)

// Scope says over which sites one set of thresholds is tuned.
type Scope string

// The scopes.
const (
	AllSites   Scope = "all"     // one set for all, as a leaflet would give
	PerStation Scope = "station" // one for each climate
	PerSite    Scope = "site"    // one for each site: decades of records of it
)

// Tuned is a plan's thresholds that did best on the years tuned on.
type Tuned struct {
	Plan, Group string // the group of sites
	On          string // "odd" or "even" years
	Text        string
	Edge        bool // an optimum lies on the edge of what was tried
	rules       rules
}

// candidates lists the values tried for each task of a plan.
type candidates struct {
	bag, off, pick []rule
}

// grid gives a plan's candidates.
func grid(plan string, s Settings) candidates {
	median := func(code int) float64 {
		st, _ := s.stage(code)
		return st.MedianCd
	}
	var c candidates
	switch plan {
	case PlanCalendar:
		for d := -50.0; d <= 10; d++ {
			c.bag = append(c.bag, rule{basis: byDate, at: d})
		}
		for d := -15.0; d <= 30; d++ {
			c.off = append(c.off, rule{basis: byDate, at: d})
		}
		for d := -30.0; d <= 20; d += 2 {
			for _, again := range []float64{2, 4, 7, 10, 14} {
				c.pick = append(c.pick, rule{basis: byDate, at: d, again: again})
			}
		}
	case PlanMedian:
		c.bag = []rule{{basis: byHeat, at: median(Swelling)}}
		c.off = []rule{{basis: byHeat, at: median(FlowerEnd)}}
		c.pick = []rule{{basis: byHeat, at: median(SeedRipe), again: 45}}
	case PlanTuned:
		c = heatGrid(byHeat, []int{0}, median)
	case PlanTunedAhead:
		c = heatGrid(byForecast, []int{1, 2, 4, 6, 9}, median)
	}
	return c
}

// heatGrid tries thresholds around the profile's medians: 0.1 to 3.2 times that
// of swelling, 0.6 to 2.2 of the end of flowering, 0.8 to 1.25 of ripeness.
func heatGrid(b basis, leads []int, median func(int) float64) candidates {
	var c candidates
	for _, lead := range leads {
		for f := 0.1; f < 3.25; f += 0.1 {
			c.bag = append(c.bag, rule{basis: b, lead: lead, at: f * median(Swelling)})
		}
		for f := 0.6; f < 2.225; f += 0.05 {
			c.off = append(c.off, rule{basis: b, lead: lead, at: f * median(FlowerEnd)})
		}
		for f := 0.8; f < 1.26; f += 0.025 {
			for _, again := range []float64{30, 45, 60, 80, 105, 140} {
				c.pick = append(c.pick, rule{basis: b, lead: lead, at: f * median(SeedRipe), again: again})
			}
		}
	}
	return c
}

// tune gives the candidates of least loss over the keepers: lost + too early /
// EarlyPerLost for bagging, not off in time for taking off, not picked ripe and
// TripCost a trip for picking. Ties go to the first tried.
func tune(plan string, on []*keeper) Tuned {
	s := on[0].season.set
	c := grid(plan, s)
	var best Tuned
	b := least(c.bag, func(r rule) float64 { return total(on, r, bagLoss) })
	o := least(c.off, func(r rule) float64 { return total(on, r, offLoss) })
	p := least(c.pick, func(r rule) float64 { return total(on, r, pickLoss) })
	best.rules = rules{c.bag[b], c.off[o], c.pick[p]}
	best.Plan = plan
	best.Edge = edge(c.bag, b) || edge(c.off, o) || edge(c.pick, p)
	best.Text = best.rules.text()
	return best
}

// edge reports whether the rule at i has the least or the greatest threshold, or
// step to the next visit, that was tried.
func edge(c []rule, i int) bool {
	on := func(of func(rule) float64) bool {
		low, high := of(c[0]), of(c[0])
		for _, r := range c {
			low, high = min(low, of(r)), max(high, of(r))
		}
		v := of(c[i])
		return low < high && (v == low || v == high)
	}
	return on(func(r rule) float64 { return r.at }) || on(func(r rule) float64 { return r.again })
}

func least(c []rule, loss func(rule) float64) int {
	best, at := 0, 0.0
	for i, r := range c {
		if l := loss(r); i == 0 || l < at {
			best, at = i, l
		}
	}
	return best
}

func total(on []*keeper, r rule, loss func(*keeper, rule) float64) float64 {
	sum := 0.0
	for _, k := range on {
		sum += loss(k, r)
	}
	return sum
}

func bagLoss(k *keeper, r rule) float64 {
	if r.basis == byDate {
		r.at += k.tuning.open
	}
	s := k.season
	trip, ok := r.trip(k.bag, 0, r.at)
	var d Done
	if ok {
		d.Bagged = s.First + civil.Date(trip.day)
	}
	loss := 0.0
	for _, t := range s.trees {
		v := Judge(t, d, s.set.Limits)
		if v.Lost {
			loss++
		}
		if v.TooEarly {
			loss += 1 / s.set.EarlyPerLost
		}
	}
	return loss
}

func offLoss(k *keeper, r rule) float64 {
	if r.basis == byDate {
		r.at += k.tuning.over
	}
	s := k.season
	trip, ok := r.trip(k.off, 0, r.at)
	if !ok {
		return float64(len(s.trees))
	}
	d := Done{Bagged: s.First, Off: s.First + civil.Date(trip.day)}
	if Judge(s.trees[0], d, s.set.Limits).OffInTime { // 69 is of the district: alike for all
		return 0
	}
	return float64(len(s.trees))
}

func pickLoss(k *keeper, r rule) float64 {
	if r.basis == byDate {
		r.at += k.tuning.ripe
	}
	s := k.season
	picked, trips, _ := r.seed(k.pick)
	loss := s.set.TripCost * float64(trips*len(s.trees))
	for i, t := range s.trees {
		if !Judge(t, Done{Picked: picked[i]}, s.set.Limits).PickedRipe {
			loss++
		}
	}
	return loss
}

// text says the rules in a line.
func (r rules) text() string {
	unit := "°C·d"
	if r.bag.basis == byDate {
		unit = "days from the mean date"
	}
	lead := ""
	if r.bag.basis == byForecast {
		lead = fmt.Sprintf(", forecast believed for %d/%d/%d days", r.bag.lead+1, r.off.lead+1, r.pick.lead+1)
	}
	return fmt.Sprintf("bag at %.3g, take off at %.3g, pick from %.3g and each %.3g further (%s)%s", r.bag.at, r.off.at, r.pick.at, r.pick.again, unit, lead)
}
