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

// plan is the days of a call as they are seen from a day.
type plan struct {
	Days  civil.Range // the days told
	Best  civil.Date  // possible day of smallest expected loss
	Opens bool        // waiting one more possible day no longer lowers the loss
}

// window is where a plan is looked for.
type window struct {
	from    civil.Date    // first day that can still be used
	horizon civil.Date    // last day that is looked at
	late    ensemble.Days // what makes a day too late
	canGo   Weekdays
}

// plans finds the days of smallest expected loss.
//
// The best day is the one of smallest loss among the possible days. The days
// told are the unbroken run around it whose loss is within slack of the best,
// widened, earlier days first, to at least minDays; the last one is never
// later than late <= lastDayChance, unless that day is past, when the run ends
// on the first day that can still be used. Once the days open they begin with
// the best one.
func plans(o odds, w window, s Settings) (plan, bool) {
	best, ok := bestDay(o, w)
	if !ok {
		return plan{}, false
	}
	p := plan{Best: best, Days: civil.Range{First: best, Last: best}}
	limit := o.loss(best) + s.SlackLoss
	for p.Days.First > w.from && o.loss(p.Days.First-1) <= limit {
		p.Days.First--
	}
	for p.Days.Last < w.horizon && o.loss(p.Days.Last+1) <= limit {
		p.Days.Last++
	}
	for p.Days.Len() < s.MinDays && p.Days.First > w.from {
		p.Days.First--
	}
	for p.Days.Len() < s.MinDays && p.Days.Last < w.horizon {
		p.Days.Last++
	}
	if safe, ok := w.late.LastAtMost(s.LastDayChance); ok && p.Days.Last > safe {
		p.Days.Last = safe
	}
	p.Days.First = min(p.Days.First, p.Days.Last)
	p.Best = min(p.Best, p.Days.Last)
	if p.Opens = opens(o, w, best); p.Opens && p.Best > w.from {
		p.Days.First = p.Best // people are told the evening before
	}
	return p, true
}

func bestDay(o odds, w window) (best civil.Date, ok bool) {
	for d := w.from; d <= w.horizon; d++ {
		if w.canGo.Has(d) && (!ok || o.loss(d) < o.loss(best)) {
			best, ok = d, true
		}
	}
	return best, ok
}

// opens: the best day is the first possible one from tomorrow on (people are
// told the evening before) or today.
func opens(o odds, w window, best civil.Date) bool {
	for d := w.from; d <= w.horizon; d++ {
		if w.canGo.Has(d) && d > w.from {
			return best <= d
		}
	}
	return true
}
