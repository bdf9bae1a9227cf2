package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// ended tells whether a report, time or the season has ended the task.
func (v view) ended() (call.Standing, call.Reason) {
	bagging := v.calls[call.BagOn].Standing
	nothing := bagging.Ended() && !v.hung()
	switch {
	case v.task != call.SurveyTrees && v.task != call.LotExpected && v.bare():
		return call.NotNeeded, call.NoCatkins
	case (v.task == call.BagOn || v.task == call.SurveyTrees) && len(living(v.trees)) == 0:
		return call.NotNeeded, call.NoBagsOn
	case v.done(v.task):
		return call.Done, call.Reported
	case v.task == call.LotExpected: // seed that was picked travels on after the season's end
		return call.Quiet, ""
	case (v.task == call.LookAtBuds || v.task == call.CheckBags) && v.prev.Standing == call.Done &&
		(bagging.Ended() || v.done(call.PickSeed) || v.Day > v.seasonEnd() || v.task == call.LookAtBuds && v.replacing()):
		return v.lookDone()
	case v.Day > v.seasonEnd() && (v.prev.Standing == call.TooLate || v.prev.Standing == call.NotNeeded):
		return v.prev.Standing, v.prev.Reason
	case v.Day > v.seasonEnd():
		return call.NotNeeded, call.SeasonOver
	case v.task == call.SendKit && (v.hung() || bagging.Ended()):
		return call.NotNeeded, v.bagged()
	case v.task == call.SurveyTrees:
		return v.surveyEnded()
	case v.task == call.LookAtBuds && (bagging.Ended() || v.replacing()):
		return call.NotNeeded, v.bagged()
	case v.onBags() && nothing:
		return call.NotNeeded, call.NoBagsOn
	case v.task == call.ShortSeason && v.done(call.PickSeed):
		return call.NotNeeded, call.NoBagsOn
	case v.onBags() && v.task != call.PickSeed && v.done(call.PickSeed):
		return call.NotNeeded, call.Reported
	case v.task == call.LookAtSeed && v.calls[call.PickSeed].Standing == call.TooLate:
		return call.NotNeeded, call.NearlySurePast
	}
	if past := v.past(); past != "" {
		return call.TooLate, past
	}
	return call.Quiet, ""
}

// bagged tells why what comes before bagging is no longer needed.
func (v view) bagged() call.Reason {
	if v.hung() {
		return call.BagsAlreadyOn
	}
	return call.BaggingOver
}

// lookDone keeps a look that was reported as it is, unless bags hang that may
// have to be looked at again.
func (v view) lookDone() (call.Standing, call.Reason) {
	if v.task == call.CheckBags && v.hung() && !v.done(call.PickSeed) && v.Day <= v.seasonEnd() {
		return call.Quiet, ""
	}
	return call.Done, v.prev.Reason
}

// surveyEnded tells why trees needn't be surveyed any more: whoever bags sees
// the catkins, and who begins after the weeks of surveying has missed them.
func (v view) surveyEnded() (call.Standing, call.Reason) {
	p, _ := v.survey()
	bagging := v.calls[call.BagOn].Standing
	switch {
	case v.prev.Standing == call.NotNeeded:
		return call.NotNeeded, v.prev.Reason
	case bagging.Asks(), bagging.Ended(), v.hung():
		return call.NotNeeded, call.BaggingBegins
	case !v.prev.Standing.Asks() && v.Day > p.Days.Last:
		return call.NotNeeded, call.TooLateToHelp
	}
	return call.Quiet, ""
}

// onBags tells whether the task is about bags that hang.
func (v view) onBags() bool {
	switch v.task {
	case call.SurveyTrees, call.SendKit, call.LookAtBuds, call.BagOn, call.LotExpected:
		return false
	}
	return true
}

// hung tells whether any living tree has, or had, bags on.
func (v view) hung() bool { return len(v.ledger.hang) > 0 }

// done tells whether the reports have done a task.
func (v view) done(task call.Task) bool {
	switch task {
	case call.SurveyTrees:
		return len(v.ledger.unsurveyed(v.trees)) == 0
	case call.SendKit:
		return v.ledger.kit
	case call.BagOn:
		return v.hung() && len(v.ledger.needs(call.BagOn, v.Site.Trees, v.Site.Settings)) == 0
	case call.TakeOff:
		return v.all(v.ledger.off)
	case call.LookAtSeed:
		return v.ledger.seedLook
	case call.PickSeed:
		return v.ledger.nothing || v.all(v.ledger.picked)
	case call.LotExpected:
		return len(v.ledger.lots) > 0 && len(v.ledger.missing(v.trees, nil)) == 0
	case call.ShortSeason:
		return v.ledger.confirmed
	}
	return false
}

// all tells whether something was reported for every tree that has bags on.
func (v view) all(reported map[string]bool) bool {
	for _, t := range v.ledger.hang {
		if !reported[t.Short] {
			return false
		}
	}
	return v.hung()
}

func (v view) seasonEnd() civil.Date { return v.Site.Settings.SeasonEnd.In(v.Site.Season) }

// past tells why what the task must come before has, as good as surely,
// happened. Once it is nearly sure it stays so, whatever later forecasts say,
// until somebody has looked.
func (v view) past() call.Reason {
	var chance float64
	switch {
	case v.task == call.BagOn && v.replacing():
		if stage.BoundsOf(v.Reports, stage.Flowering).Seen != 0 {
			return call.ReportedPast
		}
		chance = v.Forecast.Flowering.On(v.Day)
	case v.task == call.BagOn && (v.Forecast.BreakSeen != 0 || v.allGreen()):
		return call.ReportedPast
	case v.task == call.BagOn:
		chance = v.Forecast.Break.On(v.Day)
	case v.task == call.PickSeed:
		chance = v.Forecast.Shed.On(v.Day)
	default:
		return ""
	}
	stays := v.prev.Standing == call.TooLate && v.prev.Reason == call.NearlySurePast && !v.lookedSince(v.prev.Since)
	if chance >= v.Site.Settings.TooLateChance || stays {
		return call.NearlySurePast
	}
	return ""
}

// lookedSince tells whether a look that found it not past has reached us on a
// day or later; the day before counts too, since days begin earlier in the east.
func (v view) lookedSince(day civil.Date) bool {
	for _, r := range v.Reports {
		buds := v.task == call.BagOn && r.Kind == trail.NotYet && r.BBCH <= int(stage.BudBreak)
		seed := v.task == call.PickSeed && (r.Kind == trail.SeedBrown || r.Kind == trail.SeedGreen)
		if (buds || seed) && civil.At(r.At.UTC()) >= day-1 {
			return true
		}
	}
	return false
}

// allGreen tells whether every living tree was left for its green tips.
func (v view) allGreen() bool {
	some := living(v.Site.Trees)
	for _, t := range some {
		if !v.ledger.greenTips[t.Short] {
			return false
		}
	}
	return len(some) > 0
}

func living(trees []trail.Tree) (some []trail.Tree) {
	for _, t := range trees {
		if !t.Gone {
			some = append(some, t)
		}
	}
	return some
}
