package season_test

import (
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/trail"
)

// The spring of a lead who answers: each row is a moment, what is reported
// just before it, and how bagging stands and who is told what because of it.
// Expected values follow from the rules in design by hand; no source.
func TestASpringOfBaggingReadsLikeThis(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-03-01", "06:10", "winter: nothing is said", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-04-04", "06:10", "two weeks ahead the days are coming", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-04", "17:00", "and the lead hears of it in the evening", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-05", "17:00", "but not twice", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-23", "17:00", "as long as waiting lowers the loss, people wait", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-24", "06:10", "the day before the best day the days have come", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-24", "17:00", "which is said in the evening", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-25", "06:10", "a day is allowed for an answer", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-25", "17:00", "without one the deputy gets it", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "17:00", "the deputy has promised a day: nobody is told anything", []trail.Report{{Kind: trail.Going, Task: string(call.BagOn), On: civil.MustParse("2031-04-28")}}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-28", "17:00", "not on the promised day either", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-29", "06:10", "no report after the promised day: asked about next morning", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.PromisePast},
		{"2031-04-29", "15:10", "but once", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-29", "18:00", "who can't go passes it on at once", []trail.Report{{Kind: trail.CannotGo, Task: string(call.BagOn)}}, nil, call.Go, call.BestDaysBegin, "coord", call.CannotGo},
		{"2031-04-30", "10:10", "one tree done isn't all", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-01", "15:10", "a tree short of its control isn't done", []trail.Report{bagsOn("T2", 2, 0)}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "the last two days are said at once", nil, nil, call.Hurry, call.LastDaysBegin, "coord", call.LastDaysBegin},
		{"2031-05-02", "17:00", "when the last in the chain is silent too, nobody is left to ask", nil, nil, call.Hurry, call.LastDaysBegin, "nobody", call.NobodyElseKnown},
		{"2031-05-04", "06:10", "the day after the last day a look decides", nil, nil, call.LookFirst, call.LastDayPast, "coord", call.LastDayPast},
		{"2031-05-04", "16:10", "a later report of the tree corrects the earlier", []trail.Report{bagsOn("T2", 2, 1)}, nil, call.Done, call.Reported, "", ""},
		{"2031-05-20", "17:00", "done stays done", nil, nil, call.Done, call.Reported, "", ""},
	})
}

// alone leaves one person in the chain at the trees.
func alone(s *story, canGo season.Weekdays) *story {
	s.facts.Site.Field = []season.Person{{Code: "lead", CanGo: canGo}}
	return s
}

func weekends() season.Weekdays {
	return season.Weekdays(0).On(time.Saturday).On(time.Sunday)
}

// 2031-05-03, the last safe day, is a Saturday. Going on Sunday 27 April costs
// less than on Saturday 3 May (P(07) = 0.08), by hand.
func TestWhoCanOnlyGoAtWeekendsIsCalledForOne(t *testing.T) {
	s := alone(begin(springOf2031()), weekends())
	play(t, s, call.BagOn, []row{
		{"2031-04-14", "17:00", "two weeks ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-24", "17:00", "on the best day's eve for others nothing opens", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-25", "17:00", "on Friday evening the weekend is called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-26", "17:00", "a promise for Sunday is an answer", []trail.Report{going("lead", call.BagOn, "2031-04-27")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-27", "20:00", "done", []trail.Report{bagsOn("T1", 2, 1), bagsOn("T2", 3, 1)}, nil, call.Done, call.Reported, "", ""},
	})
}

func TestAPersonsDaysAreAmongThoseToldAsLongAsTheyAreSafe(t *testing.T) {
	s := alone(begin(springOf2031()), weekends())
	out := s.at("2031-04-25", "17:00").Calls[call.BagOn]
	if !out.Days.Has(civil.MustParse("2031-04-26")) || out.Best != civil.MustParse("2031-04-26") {
		t.Errorf("days %s, best %s; want the Saturday", out.Days, out.Best)
	}
}

func TestDaysExistWhereNoneSuitsThePerson(t *testing.T) {
	s := alone(begin(springOf2031()), weekends())
	s.forecast.Break = logistic("2031-05-02", 1) // safe until Tuesday 29 April
	play(t, s, call.BagOn, []row{
		{"2031-04-28", "06:10", "on a Monday it turns out that Tuesday is the last day: told at once", nil, nil, call.Hurry, call.LastDaysBegin, "lead", call.LastDaysBegin},
		{"2031-04-30", "06:10", "then each tree must be looked at; there is nobody else", nil, nil, call.LookFirst, call.LastDayPast, "nobody+lead", call.NobodyElseKnown},
	})
	if d := s.facts.Calls[call.BagOn]; d.Days.Last != civil.MustParse("2031-04-29") || !weekends().Has(d.Best) {
		t.Errorf("days %s, best %s; want until the last safe day, and the best of those that suit", d.Days, d.Best)
	}
}

func TestASuddenWarmSpellGoesStraightFromAheadToLookFirst(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-14", "17:00", "the days are coming", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-19", "06:10", "the last day was yesterday: told at once", nil, func(s *story) { s.forecast.Break = logistic("2031-04-20", 0.8) }, call.LookFirst, call.LastDayPast, "lead", call.LastDayPast},
		{"2031-04-19", "08:00", "the lead goes on Monday", []trail.Report{going("lead", call.BagOn, "2031-04-21")}, nil, call.LookFirst, call.LastDayPast, "", ""},
		{"2031-04-19", "15:10", "a slightly colder forecast on the same day takes nothing back", nil, func(s *story) { s.forecast.Break = logistic("2031-04-23", 1) }, call.LookFirst, call.LastDayPast, "", ""},
		{"2031-04-20", "06:10", "nor on the next", nil, nil, call.LookFirst, call.LastDayPast, "", ""},
		{"2031-04-20", "15:10", "a much colder one does; the promise stands", nil, func(s *story) { s.forecast.Break = logistic("2031-04-29", 1) }, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-20", "17:00", "so that there is nothing to say", nil, nil, call.Go, call.BestDaysBegin, "", ""},
	})
}

func TestTooLateIsTakenBackByALookAlone(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-30", "17:00", "called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-05-01", "12:00", "green tips were seen", []trail.Report{buds(trail.StageSeen)}, nil, call.TooLate, call.ReportedPast, "", ""},
		{"2031-05-01", "17:00", "the lead and the coordinator hear of it in the evening", nil, nil, call.TooLate, call.ReportedPast, "lead+coord", call.ReportedPast},
		{"2031-05-02", "12:00", "another look found the buds still closed: told at once", []trail.Report{buds(trail.NotYet)}, nil, call.LookFirst, call.StillClosed, "lead", call.StillClosed},
		{"2031-05-02", "17:00", "once", nil, nil, call.LookFirst, call.StillClosed, "deputy", call.AnswerOverdue},
		{"2031-05-02", "18:00", "the lead goes after all", []trail.Report{going("lead", call.BagOn, "2031-05-03")}, nil, call.LookFirst, call.StillClosed, "", ""},
		{"2031-05-10", "06:10", "as good as surely past; the promise was not kept and is no matter now", nil, nil, call.TooLate, call.NearlySurePast, "", ""},
		{"2031-05-10", "17:00", "said in the evening", nil, nil, call.TooLate, call.NearlySurePast, "lead+coord", call.NearlySurePast},
		{"2031-05-11", "06:10", "colder forecasts don't bring buds back", nil, func(s *story) { s.forecast.Break = logistic("2031-05-14", 1.2) }, call.TooLate, call.NearlySurePast, "", ""},
		{"2031-05-11", "16:00", "a look does", []trail.Report{buds(trail.NotYet)}, nil, call.LookFirst, call.StillClosed, "lead", call.StillClosed},
		{"2031-05-12", "09:00", "they have broken now", []trail.Report{buds(trail.StageSeen)}, nil, call.TooLate, call.ReportedPast, "", ""},
		{"2031-10-01", "06:10", "too late stays too late at the season's end", nil, nil, call.TooLate, call.ReportedPast, "", ""},
	})
}

func TestAMistakenReportLongBeforeTheDaysIsSimplyTakenBack(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-03-20", "12:00", "a slip of the pen", []trail.Report{buds(trail.StageSeen)}, nil, call.TooLate, call.ReportedPast, "", ""},
		{"2031-03-20", "13:00", "corrected", []trail.Report{buds(trail.NotYet)}, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-03-20", "17:00", "nobody needs to hear of it", nil, nil, call.Quiet, call.FarOff, "", ""},
	})
}

func TestATreeThatIsGoneNeedsNoBags(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-30", "17:00", "called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-05-01", "12:00", "one of two trees has its bags", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-01", "15:10", "the other was felled", nil, func(s *story) { s.facts.Site.Trees[1].Gone = true }, call.Done, call.Reported, "", ""},
		{"2031-05-02", "15:10", "and the last one too", nil, func(s *story) { s.facts.Site.Trees[0].Gone = true }, call.NotNeeded, call.NoBagsOn, "", ""},
	})
	for _, task := range []call.Task{call.SendKit, call.TakeOff, call.LookAtSeed, call.PickSeed, call.ShortSeason} {
		if got := s0(t, "2031-06-20", func(s *story) {
			for i := range s.facts.Site.Trees {
				s.facts.Site.Trees[i].Gone = true
			}
		}).Calls[task]; got.Standing != call.NotNeeded {
			t.Errorf("%s with no living tree is %q (%s)", task, got.Standing, got.Reason)
		}
	}
}

// s0 decides once, on a day of the usual spring after a change.
func s0(t *testing.T, day string, change func(*story)) season.Outcome {
	t.Helper()
	s := begin(springOf2031())
	change(s)
	return s.at(day, "06:10")
}

func TestACorrectionOpensATaskAgain(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-28", "17:00", "called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-29", "12:00", "done", []trail.Report{bagsOn("T1", 2, 1), bagsOn("T2", 2, 1)}, nil, call.Done, call.Reported, "", ""},
		{"2031-04-29", "13:00", "not quite: T2 lacks its control, and the lead hears that it is open again", []trail.Report{bagsOn("T2", 2, 0)}, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
}

func TestDaysThatMoveAreToldAgainInTheEveningAndOnlyByThree(t *testing.T) {
	later := func(days civil.Date) func(*story) {
		return func(s *story) {
			s.forecast.Break = logisticOn(civil.MustParse("2031-05-06")+days, 1.2)
			s.forecast.Flowering = logisticOn(civil.MustParse("2031-05-12")+days, 1.5)
		}
	}
	play(t, alone(begin(springOf2031()), 0), call.BagOn, []row{
		{"2031-04-14", "17:00", "ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-15", "06:10", "two days later", nil, later(2), call.Ahead, call.DaysComing, "", ""},
		{"2031-04-15", "17:00", "isn't worth a mail", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-16", "06:10", "three days later", nil, later(3), call.Ahead, call.DaysComing, "", ""},
		{"2031-04-16", "17:00", "are, but not so soon after the last mail", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-17", "17:00", "three evenings after it they are told", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysMoved},
		{"2031-04-18", "17:00", "once", nil, nil, call.Ahead, call.DaysComing, "", ""},
	})
}

func TestDaysThatMoveWhileTheyAreFarOffAreNotWorthAMail(t *testing.T) {
	later := func(s *story) {
		s.forecast.Break, s.forecast.Flowering = logistic("2031-05-10", 1.2), logistic("2031-05-16", 1.5)
	}
	play(t, alone(begin(springOf2031()), 0), call.BagOn, []row{
		{"2031-04-09", "17:00", "ahead, from about 21 April on", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-10", "17:00", "four days later: eleven days ahead that may change again", nil, later, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-16", "17:00", "a week ahead of the days that were told it is said", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysMoved},
	})
}

// Springs are laid so that the best day is the one on which it is learned.
func TestAFirstDayLearnedTooLateIsToldAtOnce(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-14", "17:00", "ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-18", "06:10", "a warm forecast: today is the best day", nil, func(s *story) {
			s.forecast.Break, s.forecast.Flowering = logistic("2031-04-29", 1.2), logistic("2031-05-05", 1.5)
		}, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-18", "17:00", "not again in the evening", nil, nil, call.Go, call.BestDaysBegin, "", ""},
	})
}

// With three weeks between bud break and flowering every day is bad: early
// ones leave bags hanging, late ones lose trees.
func TestDaysExistWhereEveryDayIsBad(t *testing.T) {
	f := springOf2031()
	f.Flowering = logistic("2031-06-15", 6)
	s := begin(f)
	for _, r := range []struct {
		day      string
		standing call.Standing
	}{{"2031-04-27", call.Ahead}, {"2031-04-28", call.Go}, {"2031-05-01", call.Go}, {"2031-05-02", call.Hurry}, {"2031-05-03", call.Hurry}, {"2031-05-04", call.LookFirst}} {
		got := s.at(r.day, "17:00").Calls[call.BagOn]
		if got.Standing != r.standing || got.Days.Len() == 0 || got.Days.Last > civil.MustParse("2031-05-03") {
			t.Errorf("%s: %q, days %s; want %q, never beyond the last safe day", r.day, got.Standing, got.Days, r.standing)
		}
	}
	e := season.Explain(s.facts, call.BagOn, s.facts.Calls[call.BagOn])
	if e.GoEarly < 0.9 {
		t.Errorf("early on %s is %.2f; the row isn't about bad days", e.GoOn, e.GoEarly)
	}
}

func TestASecondTripIsAdvisedWhereTreesDiffer(t *testing.T) {
	for _, r := range []struct {
		what      string
		flowering string
		scale     float64
		breaks    string
		second    bool
	}{
		{"bags would hang too long on many trees, and buds are far from breaking", "2031-05-28", 6, "2031-05-16", true},
		{"bags would hang too long, but buds break within the week", "2031-05-28", 6, "2031-05-04", false},
		{"bags would hang as long as they may", "2031-05-12", 1.5, "2031-05-16", false},
	} {
		s := begin(springOf2031())
		s.forecast.Flowering, s.forecast.Break = logistic(r.flowering, r.scale), logistic(r.breaks, 1.2)
		s.at("2031-04-27", "17:00")
		st := s.facts.Calls[call.BagOn]
		st.Best = civil.MustParse("2031-04-28")
		if e := season.Explain(s.facts, call.BagOn, st); e.SecondTrip != r.second {
			t.Errorf("%s: second trip %v (early %.2f)", r.what, e.SecondTrip, e.GoEarly)
		}
	}
}

func TestWaitingIsComparedOnADayThatIsPossible(t *testing.T) {
	s := alone(begin(springOf2031()), weekends())
	st := s.at("2031-04-25", "17:00").Calls[call.BagOn]
	e := season.Explain(s.facts, call.BagOn, st)
	if e.GoOn != civil.MustParse("2031-04-26") || e.WaitFor != civil.MustParse("2031-05-03") || e.WaitLate <= e.GoLate || e.WaitEarly >= e.GoEarly {
		t.Errorf("%+v; want Saturday 26 April against Saturday 3 May", e)
	}
}
