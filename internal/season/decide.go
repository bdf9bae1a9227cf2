package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// dependence is the tasks in an order in which each stands after those that
// it looks at.
var dependence = []call.Task{
	call.BagOn, call.SurveyTrees, call.SendKit, call.LookAtBuds, call.TakeOff, call.CheckBags,
	call.PickSeed, call.LookAtSeed, call.LotExpected, call.ShortSeason,
}

// Decide computes how every call of a site stands and what is owed because of
// it. It is a pure function: deciding again on its own outcome, with the same
// facts, changes nothing and owes nothing.
//
// Every report, answer and returned mail in the facts is taken as known: that
// none of them is later than Now is up to the caller.
func Decide(f Facts) Outcome {
	trees := f.Site.Trees
	l := f.read()
	out := Outcome{Calls: make(map[call.Task]State, len(call.Tasks))}
	owed := make(map[call.Task][]Owed, len(call.Tasks))
	for _, task := range dependence {
		v := view{Facts: &f, ledger: l, task: task, prev: f.Calls[task], calls: out.Calls, trees: trees}
		next, tell := v.decide()
		out.Calls[task], owed[task] = v.raise(next, tell)
	}
	for _, task := range call.Tasks {
		out.Owed = append(out.Owed, owed[task]...)
	}
	return out
}

// read adds the reports up, and takes what they say of trees, flowering and
// seed into the facts.
func (f *Facts) read() *ledger {
	l := add(f.Reports, f.Site.Trees)
	f.Site.Trees = l.bearing(f.Site.Trees)
	l.hang = l.bagged(f.Site.Trees)
	l.flowering = f.Flowering()
	f.Forecast = f.Forecast.heard(l)
	if f.Evening {
		l.differ, l.unlike = differing(f.Reports), unlike(f.Reports)
	}
	return l
}

// Flowering is the day on which flowering was seen to have begun, else the one
// by which it is as likely as not; zero where neither is known.
func (f Facts) Flowering() civil.Date {
	if seen := stage.BoundsOf(f.Reports, stage.Flowering).Seen; seen != 0 {
		return seen
	}
	day, _ := f.Forecast.Flowering.Quantile(0.5)
	return day
}

// view is one task of a site, looked at on a day.
type view struct {
	*Facts
	ledger *ledger
	task   call.Task
	prev   State
	calls  map[call.Task]State // of the tasks that it depends on, as they stand now
	trees  []trail.Tree        // all trees of the site, those without catkins too
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
	kept := v.prev
	next, unsettled := v.settle(next)
	pass, to := v.passes(next)
	passesOn := pass != "" && to < len(v.chain())
	for passesOn { // the next person may have other days to go on, and be away on the first
		v.prev.Level = to
		next = v.heard(v.stand())
		after, ok := v.present(to+1, next)
		if !ok || !v.absent(v.holder(), next) {
			break
		}
		to = after
	}
	if next.Standing.Ended() {
		next.Level = before.Level
		if passesOn && before.Standing.Ended() { // nobody hears that it goes on being over
			return v.since(next, before), nil
		}
	}
	next = v.since(next, before)
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
	told := next.Serial
	next, owed := v.tell(next, nil)
	if next.Serial == told && unsettled != nil {
		// Nobody has it yet: who is away today may be back when somebody is told.
		v.prev = kept
		return v.since(*unsettled, before), owed
	}
	return next, owed
}

// since books the day on which a standing began.
func (v view) since(next, before State) State {
	if next.Standing != before.Standing {
		next.Since = v.Day
	}
	return next
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
	case v.task == call.LookAtBuds:
		next = v.lookAtBuds()
	case v.task == call.CheckBags:
		next = v.checkBags()
	case v.task == call.LotExpected:
		next = v.lots()
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
