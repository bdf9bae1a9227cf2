package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
)

// within gives the standing of a task whose days are known.
func (v view) within(p plan) (call.Standing, call.Reason) {
	s := v.Site.Settings
	again := civil.Date(s.TellAgainAfter)
	hurryFrom := p.Days.Last - civil.Date(s.HurryDays) + 1
	if v.prev.Standing == call.Hurry {
		hurryFrom -= again // small moves of the last day don't take a hurry back
	}
	goes := p.Opens || v.Day+1 >= hurryFrom // the evening before the last days at the latest
	near := p.Days.First <= v.Day+again || v.prev.Told.Standing.Asks() && p.Days.First < v.prev.Told.Days.First+again
	if v.prev.Standing.Asks() && (near || !v.Evening) {
		goes = true // once called, people stay called unless the days move well away, and until they can be told so
	}
	planFrom := p.Days.First - civil.Date(s.PlanAheadDays)
	if v.prev.Standing != call.Quiet {
		planFrom -= again
	}
	switch {
	case v.looks(p):
		return call.LookFirst, v.found()
	case v.Day > p.Days.Last:
		return call.Hurry, call.LastDayPast
	case v.Day >= hurryFrom && p.Days.Len() > s.HurryDays, v.Day >= hurryFrom && v.Day >= p.Days.First:
		if v.task == call.BagOn && v.replacing() {
			return call.Hurry, call.BagsTorn
		}
		return call.Hurry, call.LastDaysBegin
	case goes && v.task == call.PickSeed && v.ledger.brown != 0:
		return call.Go, call.SeenBrown
	case goes && v.task == call.SurveyTrees:
		return call.Go, call.SurveyTime
	case goes && v.task == call.BagOn && v.replacing():
		return call.Go, call.BagsTorn
	case goes:
		return call.Go, call.BestDaysBegin
	case v.Day >= planFrom && v.task != call.LookAtSeed && v.task != call.SurveyTrees, v.prev.Standing.Asks(), v.prev.Standing == call.Ahead && v.prev.Since == v.Day:
		return call.Ahead, call.DaysComing
	}
	return call.Quiet, call.FarOff
}

// looks tells whether each tree must be looked at first: past the last day, or
// after a word that it is too late and another that it isn't. It isn't taken
// back on the same day, nor later by a small move of the last day.
func (v view) looks(p plan) bool {
	again := civil.Date(v.Site.Settings.TellAgainAfter)
	switch {
	case v.task != call.BagOn && v.task != call.PickSeed, v.task == call.BagOn && v.replacing():
		return false
	case v.Day > p.Days.Last:
		return true
	case v.prev.Standing == call.TooLate:
		return p.Days.First <= v.Day+again
	case v.prev.Standing == call.LookFirst:
		return v.prev.Since == v.Day || p.Days.Last < v.Day+again
	}
	return false
}

// found is why each tree is to be looked at.
func (v view) found() call.Reason {
	still := v.prev.Standing == call.TooLate || v.prev.Standing == call.LookFirst && v.prev.Reason == call.StillClosed
	switch {
	case v.task == call.BagOn && v.Forecast.LastLook != 0 && (still || v.Forecast.LastLook == v.Day):
		return call.StillClosed
	case v.task == call.PickSeed && v.ledger.brown != 0:
		return call.SeenBrown
	}
	return call.LastDayPast
}

// lostDays is the days of a task whose trees must be looked at first although
// its days are not quite past: they end yesterday at the latest, so that what
// is told is on the safe side.
func (v view) lostDays(p plan) civil.Range {
	days := p.Days
	if v.prev.Days.Len() > 0 {
		days = v.prev.Days
	}
	days.Last = min(days.Last, v.Day-1)
	days.First = min(days.First, days.Last)
	return days
}
