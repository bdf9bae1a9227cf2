package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
)

// Decide computes how every call of a site stands and what is owed because of
// it. It is a pure function: deciding again on its own outcome, with the same
// facts, changes nothing and owes nothing.
func Decide(f Facts) Outcome {
	l := add(f.Reports)
	out := Outcome{Calls: make(map[call.Task]State, len(call.Tasks))}
	for _, task := range call.Tasks {
		prev := f.Calls[task]
		next := prev
		v := view{Facts: f, ledger: l, task: task, prev: prev, calls: out.Calls}
		next.Standing, next.Reason, next.Days, next.Best = v.stand()
		if next.Standing != prev.Standing {
			next.Since = f.Day
		}
		next, owed := v.tell(next)
		out.Calls[task] = next
		out.Owed = append(out.Owed, owed...)
	}
	return out
}

// view is one task of a site, looked at on a day.
type view struct {
	Facts
	ledger ledger
	task   call.Task
	prev   State
	calls  map[call.Task]State // of the tasks before it in the season, as they stand now
}

// stand gives the standing of the task today, why, and its days.
func (v view) stand() (call.Standing, call.Reason, civil.Range, civil.Date) {
	if s, r := v.ended(); s != call.Quiet {
		return s, r, v.prev.Days, v.prev.Best
	}
	p, ok := v.plan()
	if !ok {
		return call.Quiet, call.FarOff, civil.Range{}, 0
	}
	s, r := v.within(p)
	return s, r, p.Days, p.Best
}

// ended tells whether a report or the season has ended the task.
func (v view) ended() (call.Standing, call.Reason) {
	switch {
	case v.done():
		return call.Done, call.Reported
	case v.Day > v.seasonEnd():
		return call.NotNeeded, call.SeasonOver
	}
	bag := v.calls[call.BagOn]
	hung := len(v.ledger.bagged(v.Site.Trees)) > 0
	switch v.task {
	case call.SendKit:
		if hung || bag.Standing.Ended() {
			return call.NotNeeded, call.BagsAlreadyOn
		}
	case call.TakeOff, call.LookAtSeed, call.PickSeed:
		if bag.Standing == call.TooLate && !hung {
			return call.NotNeeded, call.NoBagsOn
		}
		if v.task == call.LookAtSeed && v.calls[call.LookAtSeed].Standing == call.Quiet && v.done2(call.PickSeed) {
			return call.NotNeeded, call.Reported
		}
	case call.ShortSeason:
		if v.done2(call.PickSeed) || bag.Standing == call.TooLate && !hung {
			return call.NotNeeded, call.NoBagsOn
		}
	}
	return call.Quiet, ""
}

// done tells whether the reports have done the task.
func (v view) done() bool { return v.done2(v.task) }

func (v view) done2(task call.Task) bool {
	switch task {
	case call.SendKit:
		return v.ledger.kit
	case call.BagOn:
		return len(Needs(call.BagOn, v.Site.Trees, v.Site.Settings, v.Reports)) == 0
	case call.TakeOff:
		return v.all(v.ledger.off)
	case call.LookAtSeed:
		return v.ledger.seedLook
	case call.PickSeed:
		return v.ledger.nothing || v.all(v.ledger.picked)
	case call.ShortSeason:
		return v.ledger.confirmed
	}
	return false
}

// all tells whether something was reported for every tree that has bags on.
func (v view) all(reported map[string]bool) bool {
	bagged := v.ledger.bagged(v.Site.Trees)
	for _, t := range bagged {
		if !reported[t.Short] {
			return false
		}
	}
	return len(bagged) > 0
}

func (v view) seasonEnd() civil.Date { return v.Site.Settings.SeasonEnd.In(v.Site.Season) }

// within gives the standing of a task whose days are known.
func (v view) within(p plan) (call.Standing, call.Reason) {
	s := v.Site.Settings
	hurryFrom := p.Days.Last - civil.Date(s.HurryDays) + 1
	if v.prev.Standing == call.Hurry {
		hurryFrom -= civil.Date(s.TellAgainAfter) // small moves of the last day don't take a hurry back
	}
	goes := p.Opens || v.Day+1 >= hurryFrom // the evening before the last days at the latest
	if v.prev.Standing.Asks() && p.Days.First <= v.Day+civil.Date(s.TellAgainAfter) {
		goes = true // once called, people stay called unless the days move well away
	}
	planFrom := p.Days.First - civil.Date(s.PlanAheadDays)
	if v.prev.Standing != call.Quiet {
		planFrom -= civil.Date(s.TellAgainAfter)
	}
	past := v.past()
	switch {
	case past == call.ReportedPast, past == call.NearlySurePast:
		return call.TooLate, past
	case v.Day > p.Days.Last && v.looks():
		if v.Forecast.LastLook == v.Day {
			return call.LookFirst, call.StillClosed
		}
		return call.LookFirst, call.LastDayPast
	case v.Day > p.Days.Last:
		return call.Hurry, call.LastDayPast
	case v.Day >= hurryFrom && p.Days.Len() > s.HurryDays, v.Day >= hurryFrom && v.Day >= p.Days.First:
		return call.Hurry, call.LastDaysBegin
	case goes && v.task == call.PickSeed && v.ledger.brown != 0:
		return call.Go, call.SeenBrown
	case goes:
		return call.Go, call.BestDaysBegin
	case v.Day >= planFrom:
		return call.Ahead, call.DaysComing
	}
	return call.Quiet, call.FarOff
}

// looks tells whether the task, past its last day, is worth a look per tree.
func (v view) looks() bool { return v.task == call.BagOn || v.task == call.PickSeed }

// past tells whether what the task must come before has happened.
func (v view) past() call.Reason {
	limit := v.Site.Settings.TooLateChance
	switch {
	case v.task == call.BagOn && v.Forecast.BreakSeen != 0:
		return call.ReportedPast
	case v.task == call.BagOn && v.Forecast.Break.On(v.Day) >= limit:
		return call.NearlySurePast
	case v.task == call.PickSeed && v.Forecast.Shed.On(v.Day) >= limit:
		return call.NearlySurePast
	}
	return ""
}
