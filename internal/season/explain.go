package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
)

// Explanation is the odds behind a call, in the numbers that a mail says.
type Explanation struct {
	GoOn       civil.Date // odds of going on this day …
	GoLate     float64    // chance that a tree is too late
	GoEarly    float64    // chance that a bag hangs too long, or that seed is unripe
	WaitFor    civil.Date // … against waiting for this later possible one; zero if there is none
	WaitLate   float64
	WaitEarly  float64
	Earliest   float64 // chance that the earliest tree has broken bud by today
	Chance     float64 // take off: that nothing sheds any more; short season: of ripe seed in time; look at seed: that it is ripe
	Replaces   bool    // the bags to put on take the place of torn ones
	SecondTrip bool    // trees still unswollen on the best day are worth a second trip
}

// Explain gives the odds of a call as it stands.
func Explain(f Facts, task call.Task, s State) Explanation {
	trees := f.Site.Trees
	l := f.read()
	v := view{Facts: &f, ledger: l, task: task, prev: s, calls: f.Calls, trees: trees}
	e := Explanation{GoOn: max(s.Best, f.Day)}
	set := f.Site.Settings
	switch task {
	case call.BagOn:
		if v.replacing() {
			e.Replaces, e.GoLate = true, f.Forecast.Flowering.On(e.GoOn)
			return e
		}
		e.weigh(bagOdds(f.Forecast, set), v, horizon(f.Forecast.Break))
		e.Earliest = f.Forecast.Earliest.On(f.Day)
		soon := f.Forecast.Break.On(e.GoOn + 7)
		e.SecondTrip = e.GoEarly > set.SecondTripEarly && soon < set.SecondTripLate
	case call.PickSeed:
		e.weigh(pickOdds(f.Forecast, set), v, horizon(f.Forecast.Shed))
		e.Chance = f.Forecast.Ripe.On(e.GoOn)
	case call.TakeOff:
		e.Chance = f.Forecast.Over.On(e.GoOn)
	case call.LookAtSeed:
		e.Chance = f.Forecast.Ripe.On(e.GoOn)
	case call.ShortSeason:
		e.Chance = f.Forecast.Ripe.On(v.seasonEnd())
	}
	return e
}

// weigh compares going on the day with waiting for the first possible day from
// four days later on, ten at most: sooner says too little, later is too late.
func (e *Explanation) weigh(o odds, v view, horizon civil.Date) {
	e.GoLate, e.GoEarly = o.late(e.GoOn), o.early(e.GoOn)
	for d := e.GoOn + 4; d <= min(e.GoOn+10, max(horizon, e.GoOn+4)); d++ {
		if v.possible(v.holder())(d) {
			e.WaitFor, e.WaitLate, e.WaitEarly = d, o.late(d), o.early(d)
			return
		}
	}
}
