package season

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// odds is the expected loss of going on a day, per tree: the chance to be too
// late, and the chance to be too early weighed by earlyPerLost.
//
// The loss of design is summed over a site's trees; they share one
// distribution, so the mean per tree is the same and its thresholds don't
// depend on how many trees a site has.
type odds struct {
	late         func(civil.Date) float64
	early        func(civil.Date) float64
	earlyPerLost float64
}

func (o odds) loss(d civil.Date) float64 { return o.late(d) + o.early(d)/o.earlyPerLost }

// bagOdds: late is P(bud break by d); early is P(flowering begins later than
// d + maxLead), so that a bag put on that day hangs too long.
func bagOdds(f Forecast, s Settings) odds {
	return odds{
		late:         f.Break.On,
		early:        func(d civil.Date) float64 { return 1 - f.Flowering.On(d+civil.Date(s.MaxLeadDays)) },
		earlyPerLost: s.EarlyPerLost,
	}
}

// pickOdds: late is P(shed by d), early is P(not yet ripe on d).
func pickOdds(f Forecast, s Settings) odds {
	return odds{
		late:         f.Shed.On,
		early:        func(d civil.Date) float64 { return 1 - f.Ripe.On(d) },
		earlyPerLost: s.PickEarlyPerLost,
	}
}

// replaceOdds: bags that were torn are replaced the sooner the better, and no
// later than flowering.
func replaceOdds(f Forecast) odds {
	return odds{late: f.Flowering.On, early: func(civil.Date) float64 { return 0 }, earlyPerLost: 1}
}

// plan is the days of a call as they are seen from a day.
type plan struct {
	Days  civil.Range // the days told
	Best  civil.Date  // possible day of smallest expected loss
	Opens bool        // the best day is today or tomorrow: waiting one more possible day no longer lowers the loss
}

// window is where a plan is looked for.
type window struct {
	from    civil.Date            // first day that can still be used
	horizon civil.Date            // last day that is looked at
	late    ensemble.Days         // what makes a day too late
	canGo   func(civil.Date) bool // nil: any day
	keep    civil.Date            // best day as seen last; zero: none was
}

// plans finds the days of smallest expected loss.
//
// The last safe day is the last one with late <= lastDayChance. The best day
// is the one of smallest loss among the possible days up to it; where none is
// possible, among all of them, since somebody else may go. The days told are
// the unbroken run around it whose loss is within slack of the best, widened,
// earlier days first, to at least minDays, and never beyond the last safe day.
// Once that is past it is the only day told, and the best one is the best
// still possible. Once the days open they begin with the best one.
//
// A best day stays as long as it is within slack of the best there is now:
// people have made plans, and two weekends that are equally good must not take
// turns from day to day.
func plans(o odds, w window, s Settings) (plan, bool) {
	safe, limited := w.late.LastAtMost(s.LastDayChance)
	w.horizon = w.last(s)
	best, ok := bestDay(o, w)
	if !ok {
		w.canGo = nil
		best, ok = bestDay(o, w)
	}
	if limited && safe < w.from {
		return plan{Best: best, Days: civil.Range{First: safe, Last: safe}, Opens: true}, ok
	}
	if w.keep >= w.from && w.keep <= w.horizon && w.can(w.keep) && o.loss(w.keep) <= o.loss(best)+s.SlackLoss {
		best = w.keep
	}
	p := plan{Best: best, Days: run(o, w, best, s)}
	if p.Opens = best <= w.from+1; p.Opens && best > w.from {
		p.Days.First = best // people are told the evening before
	}
	return p, ok
}

// can tells whether somebody can go on a day.
func (w window) can(d civil.Date) bool { return w.canGo == nil || w.canGo(d) }

// last is the last day to go on: the last safe one, or the horizon once that
// is past.
func (w window) last(s Settings) civil.Date {
	end := max(w.horizon, w.from)
	if safe, limited := w.late.LastAtMost(s.LastDayChance); limited && safe >= w.from {
		return min(end, safe)
	}
	return end
}

// run is the days told around the best one.
func run(o odds, w window, best civil.Date, s Settings) civil.Range {
	days := civil.Range{First: best, Last: best}
	limit := o.loss(best) + s.SlackLoss
	for days.First > w.from && o.loss(days.First-1) <= limit {
		days.First--
	}
	for days.Last < w.horizon && o.loss(days.Last+1) <= limit {
		days.Last++
	}
	for days.Len() < s.MinDays && days.First > w.from {
		days.First--
	}
	for days.Len() < s.MinDays && days.Last < w.horizon {
		days.Last++
	}
	return days
}

func bestDay(o odds, w window) (best civil.Date, ok bool) {
	for d := w.from; d <= w.horizon; d++ {
		if w.can(d) && (!ok || o.loss(d) < o.loss(best)) {
			best, ok = d, true
		}
	}
	return best, ok
}
