package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// noDays is the days of a task that has none yet.
var noDays = civil.Range{}

// plan gives the days of the task as seen today, and false while they are
// beyond the forecast's horizon or the task isn't a matter of days yet.
func (v view) plan() (plan, bool) {
	f, s := v.Forecast, v.Site.Settings
	switch v.task {
	case call.SurveyTrees:
		return v.survey()
	case call.SendKit:
		early, ok := f.Swelling.Quantile(0.10)
		leave := early - civil.Date(s.TransitDays)
		if v.prev.Standing.Asks() { // once asked for, the day stays
			leave, ok = v.prev.Days.Last, true
		}
		return v.fixed(civil.Range{First: leave, Last: leave}), ok
	case call.BagOn:
		if len(f.Break.By) == 0 || len(f.Flowering.By) == 0 {
			return plan{}, false
		}
		w := window{from: v.Day, horizon: horizon(f.Break), late: f.Break, canGo: v.possible(v.holder()), keep: v.lastBest()}
		if v.replacing() {
			w.horizon, w.late = horizon(f.Flowering), f.Flowering
			return plans(replaceOdds(f), w, s)
		}
		return plans(bagOdds(f, s), w, s)
	case call.TakeOff:
		first, ok := takeOff(f.Over, s)
		return v.fixed(civil.Range{First: first, Last: first + civil.Date(s.MaxOnDays)}), ok
	case call.LookAtSeed:
		return v.seedLook()
	case call.PickSeed:
		return v.picking()
	}
	return plan{}, false
}

// The chances between which the first day to take off may be drawn forward:
// our assumption; rehearsed springs gain half a point by it.
const (
	perhapsOver = 0.10
	likelyOver  = 0.90
)

// takeOff is the first day to take bags off: when pollination is over by the
// chance set, but sooner where, by an early end, bags would then have hung
// longer than they may; yet never before it is likely over.
func takeOff(over ensemble.Days, s Settings) (civil.Date, bool) {
	first, ok := over.Quantile(s.TakeOffChance)
	soon, early := over.Quantile(perhapsOver)
	likely, late := over.Quantile(likelyOver)
	if early && late {
		first = max(likely, min(first, soon+civil.Date(s.MaxOnDays)))
	}
	return first, ok
}

// seedLook is from P10 to P50 of ripeness, within the season: where the season
// is too short for ripe seed to be likely, a look is worth the more.
func (v view) seedLook() (plan, bool) {
	first, ok := v.Forecast.Ripe.Quantile(0.10)
	last, likely := v.Forecast.Ripe.Quantile(0.50)
	if !likely || last > v.seasonEnd() {
		last = v.seasonEnd()
	}
	return v.fixed(civil.Range{First: first, Last: last}), ok && first <= last
}

// lastBest is the best day as it was seen last; zero where the task begins
// anew.
func (v view) lastBest() civil.Date {
	if v.prev.Standing.Ended() {
		return 0
	}
	return v.prev.Best
}

// picking weighs unripe seed against shed seed. Seed that can't ripen within
// the season has no days.
func (v view) picking() (plan, bool) {
	f, s := v.Forecast, v.Site.Settings
	if len(f.Ripe.By) == 0 || len(f.Shed.By) == 0 {
		return plan{}, false
	}
	w := window{from: v.Day, horizon: min(horizon(f.Shed), v.seasonEnd()), late: f.Shed, canGo: v.possible(v.holder()), keep: v.lastBest()}
	p, ok := plans(pickOdds(f, s), w, s)
	if ok && v.ledger.brown != 0 {
		p.Opens, p.Days.First = true, min(p.Days.First, v.Day)
	}
	return p, ok && f.Ripe.On(w.last(s)) > 0
}

// clearlyAgain is by how much the chance of ripe seed must be above the limit
// before a short season is taken back, so that a day's weather doesn't say it
// and take it back: our assumption.
const clearlyAgain = 0.1

// short gives the state of a short season: spoken of from mid-season on, while
// ripe seed before its end is less likely than the setting; once said it is
// taken back only when the chance is clearly better again.
func (v view) short() State {
	next, s := v.prev, v.Site.Settings
	days := civil.Range{First: s.MidSeason.In(v.Site.Season), Last: v.seasonEnd()}
	chance, limit := v.Forecast.Ripe.On(days.Last), s.ShortChance
	said := v.prev.Standing.Asks()
	if said {
		limit += clearlyAgain
	}
	switch {
	case v.Day >= days.First && len(v.Forecast.Ripe.By) > 0 && chance < limit:
		next.Standing, next.Reason, next.Days = call.Go, call.SeedInDoubt, days
	case said, v.prev.Standing == call.NotNeeded && v.prev.Reason == call.SeedLikely:
		next.Standing, next.Reason = call.NotNeeded, call.SeedLikely
	default:
		next.Standing, next.Reason, next.Days = call.Quiet, call.FarOff, noDays
	}
	return next
}

// fixed is a plan of given days that opens the evening before its first.
func (v view) fixed(days civil.Range) plan {
	return plan{Days: days, Best: max(days.First, min(v.Day, days.Last)), Opens: v.Day+1 >= days.First}
}

// horizon is the first day on which something is all but certain, or the end
// of what the distribution covers.
func horizon(d ensemble.Days) civil.Date {
	if q, ok := d.Quantile(0.999); ok {
		return q
	}
	return d.From + civil.Date(len(d.By)) - 1
}
