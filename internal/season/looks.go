package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// lookDays is the days within which a look at buds is worth its while.
const lookDays = 3

// lookAtBuds gives the state of a look at buds. It is asked for in the
// evening, where it is likely to move the days of bagging or the site's own
// station is silent, and ends by a report, with bagging, or when it is too
// late to help.
func (v view) lookAtBuds() State {
	next, bag := v.prev, v.calls[call.BagOn]
	last := bag.Days.Last - civil.Date(v.Site.Settings.LookBeforeDays)
	asked := v.prev.Standing.Asks()
	switch {
	case asked && v.ledger.budsOn >= v.prev.Days.First-1:
		next.Standing, next.Reason = call.Done, call.Reported
	case asked && bag.Standing.Asks() && v.prev.Reason != call.StationSilent:
		next.Standing, next.Reason = call.NotNeeded, call.BaggingBegins
	case asked && v.Day > min(v.prev.Days.Last, last):
		next.Standing, next.Reason = call.NotNeeded, call.TooLateToHelp
	case asked:
	case v.Evening:
		days := civil.Range{First: v.Day + 1, Last: min(v.Day+lookDays, last)}
		if reason := v.worthLooking(bag, days); reason != "" {
			next.Standing, next.Reason, next.Days, next.Best = call.Go, reason, days, days.First
		}
	}
	if next.Standing == call.Quiet {
		next.Reason, next.Days, next.Best = call.FarOff, noDays, 0
	}
	return next
}

// worthLooking tells why a look at buds is to be asked for; empty if it isn't.
func (v view) worthLooking(bag State, days civil.Range) call.Reason {
	s := v.Site.Settings
	again := v.ledger.budsOn != 0 && v.Day < v.ledger.budsOn+civil.Date(s.LookAgainDays)
	asked := v.prev.Standing.Ended() && v.Day < v.prev.Since+civil.Date(s.LookAgainDays)
	near := bag.Standing == call.Ahead || bag.Standing == call.Go
	switch {
	case days.Len() < 1, again, asked, !near, v.Forecast.BreakSeen != 0, v.replacing():
		return ""
	case v.Blind:
		return call.StationSilent
	case bag.Standing != call.Ahead:
		return ""
	}
	who := v.holder()
	for d := days.First; d <= days.Last; d++ {
		if v.possible(who)(d) {
			if v.lookWorth(d) > s.LookWorth {
				return call.LookHelps
			}
			return ""
		}
	}
	return ""
}

// lookWorth is by how much a look at the buds on a day lowers the expected
// loss of bagging, in trees lost for each tree: the loss of going on the day
// that is best by the forecast as it is, less the mean loss of going on the
// day that is best by what the look finds, weighed by the chance of finding it.
//
// The look finds buds closed (before 01), swollen (01, before 07) or green tips
// (07). Each moves the other stages as a report of it would; a tree that
// swells late breaks bud and flowers late.
func (v view) lookWorth(on civil.Date) float64 {
	f := v.Forecast
	broken := f.Break.On(on)
	swollen := max(f.Swelling.On(on), broken)
	closed := f.found(stage.Bounds{NotYet: on}, stage.Bounds{NotYet: on}, on)
	swells := f.found(stage.Bounds{Seen: on}, stage.Bounds{NotYet: on}, on)
	after := broken // green tips: lost, whatever is done
	if swollen < 1 {
		after += (1 - swollen) * v.bagLoss(closed, on+1)
	}
	if swollen > broken {
		after += (swollen - broken) * v.bagLoss(swells, on+1)
	}
	return v.bagLoss(f, on+1) - after
}

// found is the forecast after a look that found bud swelling and bud break
// within bounds.
func (f Forecast) found(swelling, buds stage.Bounds, on civil.Date) Forecast {
	out := f
	out.Break = stage.Follow(f.Break, f.Swelling, swelling)
	out.Flowering = stage.Follow(f.Flowering, f.Swelling, swelling)
	out.Flowering = stage.Follow(out.Flowering, out.Break, buds)
	out.Break = stage.Truncate(out.Break, buds)
	return out
}

// bagLoss is the expected loss of bagging on the best day from a day on, for
// each tree.
func (v view) bagLoss(f Forecast, from civil.Date) float64 {
	s := v.Site.Settings
	o := bagOdds(f, s)
	p, ok := plans(o, window{from: from, horizon: horizon(f.Break), late: f.Break, canGo: v.possible(v.holder())}, s)
	if !ok {
		return 1
	}
	return min(1, o.loss(p.Best))
}

// checkBags gives the state of a check of bags that hang: asked for in the
// evening, after strong wind or when nobody has looked for the days set; done
// when each tree with bags was looked at.
func (v view) checkBags() State {
	next := v.prev
	hanging := v.ledger.needs(call.CheckBags, v.Site.Trees, v.Site.Settings)
	asked := v.prev.Standing.Asks()
	switch off := v.calls[call.TakeOff].Standing; {
	case asked && (len(hanging) == 0 || v.lookedAt(hanging, v.prev.Days.First-1)):
		next.Standing, next.Reason = call.Done, call.Reported
	case asked && (off.Asks() || off.Ended()):
		next.Standing, next.Reason = call.NotNeeded, call.TakingOff
	case asked && v.Day > v.prev.Days.Last:
		next.Standing, next.Reason = call.Hurry, call.LastDayPast
	case asked:
	case len(hanging) == 0 && v.hung() && !v.prev.Standing.Ended():
		next.Standing, next.Reason = call.NotNeeded, call.NoBagsOn
	case len(hanging) == 0 || off.Asks() || off.Ended() || !v.Evening:
	case v.blown(hanging):
		next = v.check(call.StrongWind)
	case v.Day+1 >= v.ledger.visited+civil.Date(v.Site.Settings.CheckAfterDays) && !v.soonOff():
		next = v.check(call.LookDue)
	}
	if next.Standing == call.Quiet {
		next.Reason, next.Days, next.Best = call.FarOff, noDays, 0
	}
	return next
}

// check asks for a check from tomorrow on.
func (v view) check(reason call.Reason) State {
	next := v.prev
	next.Standing, next.Reason = call.Go, reason
	next.Days = civil.Range{First: v.Day + 1, Last: v.Day + civil.Date(v.Site.Settings.CheckDays)}
	next.Best = next.Days.First
	can := v.possible(v.holder())
	for d := next.Days.First; d < next.Days.First+7; d++ {
		if can(d) { // the days told hold one on which the person can go
			next.Best, next.Days.Last = d, max(d, next.Days.Last)
			return next
		}
	}
	return next
}

// lookedAt tells whether each of the trees was looked at on a day or later.
func (v view) lookedAt(trees []Need, day civil.Date) bool {
	for _, n := range trees {
		if v.ledger.looked[n.Tree.Short] < day {
			return false
		}
	}
	return true
}

// blown tells whether it blew hard on a day on which bags hung that nobody has
// looked at since.
func (v view) blown(hanging []Need) bool {
	s := v.Site.Settings
	for _, w := range v.Winds {
		strong := w.GustMS >= s.StrongGustMS || w.MaxMS >= s.StrongWindMS // false of what is missing
		if !strong || w.Date > v.Day {
			continue
		}
		for _, n := range hanging {
			if looked := v.ledger.looked[n.Tree.Short]; looked < w.Date {
				return true
			}
		}
	}
	return false
}

// soonOff tells whether the bags come off so soon that a routine check isn't
// worth a trip of its own: before the next one after it would be due.
func (v view) soonOff() bool {
	off := v.calls[call.TakeOff]
	return off.Days.Len() > 0 && off.Days.First <= v.Day+1+civil.Date(v.Site.Settings.CheckAfterDays)
}

// lots gives the state of the lots that the laboratory is to expect: told when
// seed was picked, and again when the first of them is overdue.
func (v view) lots() State {
	next := v.prev
	missing := v.ledger.missing(v.trees, nil)
	if len(missing) == 0 {
		next.Standing, next.Reason, next.Days, next.Best = call.Quiet, call.FarOff, noDays, 0
		if v.calls[call.PickSeed].Standing.Ended() {
			next.Standing, next.Reason = call.NotNeeded, call.NothingPicked
		}
		return next
	}
	first := v.ledger.lots[missing[0].Tree.Short]
	for _, n := range missing {
		first = min(first, v.ledger.lots[n.Tree.Short])
	}
	next.Days = civil.Range{First: first, Last: first + civil.Date(v.Site.Settings.LotDays)}
	next.Standing, next.Reason, next.Best = call.Go, call.SeedPicked, next.Days.Last
	if v.Day > next.Days.Last {
		next.Standing, next.Reason = call.Hurry, call.LotOverdue
	}
	return next
}

// survey is the weeks in which trees are surveyed. Who begins after them
// surveys no more.
func (v view) survey() (plan, bool) {
	s := v.Site.Settings
	first := s.SurveyFrom.In(v.Site.Season)
	days := civil.Range{First: first, Last: first + civil.Date(s.SurveyDays) - 1}
	return v.fixed(days), true
}

// bare tells whether trees live here but none of them bears catkins.
func (v view) bare() bool {
	return len(living(v.trees)) > 0 && len(living(v.Site.Trees)) == 0
}

// answeredSince lists the latest answers to the task of a kind that came after
// somebody was asked.
func (v view) answeredSince(next State, kinds ...trail.Kind) (out []trail.Report) {
	for _, a := range v.ledger.answers[v.task] {
		for _, k := range kinds {
			if a.Kind == k && a.At.After(next.AskedAt) {
				out = append(out, a)
			}
		}
	}
	return out
}
