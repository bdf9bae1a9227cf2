package season

import "budcall/internal/call"

// dependence is the tasks in an order in which each stands after those that
// it looks at.
var dependence = []call.Task{call.BagOn, call.SendKit, call.TakeOff, call.PickSeed, call.LookAtSeed, call.ShortSeason}

// Decide computes how every call of a site stands and what is owed because of
// it. It is a pure function: deciding again on its own outcome, with the same
// facts, changes nothing and owes nothing.
//
// Every report, answer and returned mail in the facts is taken as known: that
// none of them is later than Now is up to the caller.
func Decide(f Facts) Outcome {
	l := add(f.Reports)
	l.hang = l.bagged(f.Site.Trees)
	f.Forecast = f.Forecast.heard(l)
	out := Outcome{Calls: make(map[call.Task]State, len(call.Tasks))}
	owed := make(map[call.Task][]Owed, len(call.Tasks))
	for _, task := range dependence {
		v := view{Facts: &f, ledger: l, task: task, prev: f.Calls[task], calls: out.Calls}
		out.Calls[task], owed[task] = v.decide()
	}
	for _, task := range call.Tasks {
		out.Owed = append(out.Owed, owed[task]...)
	}
	return out
}

// view is one task of a site, looked at on a day.
type view struct {
	*Facts
	ledger *ledger
	task   call.Task
	prev   State
	calls  map[call.Task]State // of the tasks that it depends on, as they stand now
}

// decide gives the task's state and what is owed because of it.
func (v view) decide() (State, []Owed) {
	before := v.prev
	v.prev.Level = v.level()
	next := v.stand()
	if before.waits() && next.Standing.Asks() && v.prev.Level == len(v.chain()) {
		// Nobody had it, and its days have come anew: the first in the chain is asked first.
		v.prev.Level = 0
		next = v.stand()
	}
	next = v.heard(next)
	pass := v.passes(next)
	passesOn := pass != "" && next.Level < len(v.chain())-1
	if passesOn { // the next person may have other days to go on
		v.prev.Level++
		next = v.heard(v.stand())
	}
	if next.Standing.Ended() {
		next.Level = before.Level
	}
	if next.Standing != before.Standing {
		next.Since = v.Day
	}
	switch {
	case passesOn && next.Standing == call.Quiet: // far off for the next person, who hears of it in time
		next.Told.Standing, next.AskedAt = call.Quiet, v.Now
		return next, nil
	case passesOn:
		return v.passOn(next, pass)
	case pass != "":
		next, owed := v.nobodyLeft(next)
		return v.tell(next, owed)
	}
	return v.tell(next, nil)
}

// waits tells whether nobody is asked to act yet.
func (s State) waits() bool { return s.Standing == call.Quiet || s.Standing == call.Ahead }

// stand gives the task's state as it stands today, before anybody is told.
func (v view) stand() State {
	next := v.prev
	standing, reason := v.ended()
	switch {
	case standing != call.Quiet:
		next.Standing, next.Reason = standing, reason
	case v.task == call.ShortSeason:
		next = v.short()
	default:
		next = v.onDays()
	}
	switch {
	case v.prev.Standing.Ended() && !next.Standing.Ended():
		next.Told.Standing = v.prev.Standing // open again: whatever was told before is over
	case v.prev.Standing.Asks() && next.Standing == call.Quiet:
		next.Told.Standing = call.Quiet
	}
	return next
}

// onDays gives the state of a task that is a matter of days.
func (v view) onDays() State {
	next := v.prev
	p, ok := v.plan()
	if !ok {
		p = plan{}
	}
	next.Days, next.Best = p.Days, p.Best
	switch {
	case v.onBags() && !v.hung():
		next.Standing, next.Reason = call.Quiet, call.NoBagsOn
		return next
	case !ok && v.prev.Standing.Asks(): // a forecast that no longer sees the days takes nothing back
		p = plan{Days: v.prev.Days, Best: v.prev.Best, Opens: true}
	case !ok:
		next.Standing, next.Reason = call.Quiet, call.FarOff
		return next
	}
	next.Standing, next.Reason = v.within(p)
	next.Days, next.Best = p.Days, p.Best
	if next.Standing == call.LookFirst && next.Days.Last >= v.Day {
		next.Days = v.lostDays(p)
	}
	return next
}
