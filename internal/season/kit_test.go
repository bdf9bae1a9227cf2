package season_test

import (
	"testing"

	"budcall/internal/call"
	"budcall/internal/trail"
)

// P10 of bud swelling is 16 April, so that the kit, seven days under way, must
// leave on 9 April; by hand.
func TestTheKitLeavesInTime(t *testing.T) {
	play(t, begin(springOf2031()), call.SendKit, []row{
		{"2031-03-25", "17:00", "more than two weeks before nothing is said", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-03-26", "17:00", "two weeks before the coordinator hears of it", nil, nil, call.Ahead, call.DaysComing, "coord", call.DaysComing},
		{"2031-04-08", "06:10", "the day before it must leave", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-08", "17:00", "it is said in the evening", nil, nil, call.Go, call.BestDaysBegin, "coord", call.BestDaysBegin},
		{"2031-04-08", "18:00", "it will be sent tomorrow", []trail.Report{going("coord", call.SendKit, "2031-04-09")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-09", "06:10", "so that nobody is hurried", nil, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-04-10", "06:10", "nor asked for a report while it is under way", nil, nil, call.Hurry, call.LastDayPast, "", ""},
		{"2031-04-16", "06:10", "for seven days", nil, nil, call.Hurry, call.LastDayPast, "", ""},
		{"2031-04-17", "06:10", "then it should have arrived", nil, nil, call.Hurry, call.LastDayPast, "coord", call.PromisePast},
		{"2031-04-17", "09:00", "it has", []trail.Report{{Kind: trail.KitArrived}}, nil, call.Done, call.Reported, "", ""},
		{"2031-05-17", "17:00", "and that is that", nil, nil, call.Done, call.Reported, "", ""},
	})
}

func TestAKitThatNobodySendsIsPassedOnAtTheDesk(t *testing.T) {
	play(t, begin(springOf2031()), call.SendKit, []row{
		{"2031-04-08", "17:00", "to be sent", nil, nil, call.Go, call.BestDaysBegin, "coord", call.BestDaysBegin},
		{"2031-04-09", "06:10", "last day: said at once, but nobody's time runs out by night", nil, nil, call.Hurry, call.LastDaysBegin, "coord", call.LastDaysBegin},
		{"2031-04-09", "11:00", "a third of the day later", nil, nil, call.Hurry, call.LastDaysBegin, "codep", call.AnswerOverdue},
		{"2031-04-09", "17:00", "the chain of the desk ends there", nil, nil, call.Hurry, call.LastDaysBegin, "nobody", call.NobodyElseKnown},
		{"2031-04-10", "17:00", "said once", nil, nil, call.Hurry, call.LastDayPast, "", ""},
	})
}

func TestALateKitIsHurriedUntilItIsNotNeeded(t *testing.T) {
	play(t, begin(springOf2031()), call.SendKit, []row{
		{"2031-04-12", "06:10", "begun too late in the year", nil, nil, call.Hurry, call.LastDayPast, "coord", call.LastDayPast},
		{"2031-04-12", "08:00", "sent today", []trail.Report{going("coord", call.SendKit, "2031-04-12")}, nil, call.Hurry, call.LastDayPast, "", ""},
		{"2031-04-18", "06:10", "a warmer forecast doesn't move the day that was told", nil, func(s *story) { s.forecast.Swelling = logistic("2031-04-10", 2) }, call.Hurry, call.LastDayPast, "", ""},
		{"2031-04-18", "12:00", "a tree has bags: the kit is there", []trail.Report{bagsOn("T1", 1, 0)}, nil, call.NotNeeded, call.BagsAlreadyOn, "", ""},
		{"2031-04-18", "17:00", "which the coordinator hears", nil, nil, call.NotNeeded, call.BagsAlreadyOn, "coord", call.BagsAlreadyOn},
		{"2031-04-19", "17:00", "once", nil, nil, call.NotNeeded, call.BagsAlreadyOn, "", ""},
	})
}

func TestNoKitIsSentWhereBaggingIsOver(t *testing.T) {
	play(t, begin(springOf2031()), call.SendKit, []row{
		{"2031-05-20", "06:10", "first start in late May: buds have broken", nil, nil, call.NotNeeded, call.BaggingOver, "", ""},
		{"2031-05-20", "17:00", "nobody had been told, so nobody is", nil, nil, call.NotNeeded, call.BaggingOver, "", ""},
		{"2031-10-01", "17:00", "nor at the season's end", nil, nil, call.NotNeeded, call.BaggingOver, "", ""},
	})
	play(t, begin(springOf2031()), call.LookAtBuds, []row{
		{"2031-05-20", "06:10", "nor are the buds looked at", nil, nil, call.NotNeeded, call.BaggingOver, "", ""},
	})
}

func TestATaskWithoutAnyPersonIsSaidToBeWithoutOne(t *testing.T) {
	s := begin(springOf2031())
	s.facts.Site.Desk = nil
	play(t, s, call.SendKit, []row{
		{"2031-03-26", "17:00", "planning reaches nobody", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-08", "17:00", "whoever runs the program must find somebody", nil, nil, call.Go, call.BestDaysBegin, "nobody", call.NobodyElseKnown},
		{"2031-04-08", "18:00", "once", nil, nil, call.Go, call.BestDaysBegin, "", ""},
	})
}
