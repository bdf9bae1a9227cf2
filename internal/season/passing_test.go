package season_test

import (
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/trail"
)

// called is a story whose bagging was called on the evening of 24 April; its
// last safe day is 3 May, so that the setting, a day, is the time for an answer.
func called(t *testing.T) *story {
	t.Helper()
	s := begin(springOf2031())
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
	return s
}

func TestATaskIsPassedOnThroughTheChainAndThenSaidToBeWithoutAnybody(t *testing.T) {
	play(t, called(t), call.BagOn, []row{
		{"2031-04-25", "16:59", "a minute before the time is over", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-25", "17:00", "the deputy", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "17:00", "the coordinator", nil, nil, call.Go, call.BestDaysBegin, "coord", call.AnswerOverdue},
		{"2031-04-27", "17:00", "nobody", nil, nil, call.Go, call.BestDaysBegin, "nobody", call.NobodyElseKnown},
		{"2031-04-28", "17:00", "said once", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "the last one asked still hears of the last days", nil, nil, call.Hurry, call.LastDaysBegin, "coord", call.LastDaysBegin},
		{"2031-05-02", "20:00", "and isn't waited for", nil, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-05-02", "21:00", "until somebody promises a day", []trail.Report{going("deputy", call.BagOn, "2031-05-03")}, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-05-04", "06:10", "and doesn't keep it: that person is asked", nil, nil, call.LookFirst, call.LastDayPast, "deputy", call.PromisePast},
	})
}

func TestWhatPassesATaskOn(t *testing.T) {
	for _, r := range []struct {
		what   string
		change func(*story)
		told   string
		why    call.Reason
	}{
		{"silence for an hour doesn't", func(*story) {}, "", ""},
		{"can't does, at once", func(s *story) { s.reports("2031-04-24", "18:00", cannot("lead", call.BagOn)) }, "deputy", call.CannotGo},
		{"a returned mail does, at once", func(s *story) { s.facts.Returned[call.BagOn] = moment("2031-04-24", "17:01") }, "deputy", call.MailReturned},
		{"a mail that was returned before doesn't", func(s *story) { s.facts.Returned[call.BagOn] = moment("2031-04-24", "16:59") }, "", ""},
		{"a returned mail of another task doesn't", func(s *story) { s.facts.Returned[call.SendKit] = moment("2031-04-24", "17:01") }, "", ""},
		{"another's can't doesn't", func(s *story) { s.reports("2031-04-24", "18:00", cannot("deputy", call.BagOn)) }, "", ""},
		{"can't of another task doesn't", func(s *story) { s.reports("2031-04-24", "18:00", cannot("lead", call.TakeOff)) }, "", ""},
		{"can't, then a day, doesn't", func(s *story) {
			s.reports("2031-04-24", "17:30", cannot("lead", call.BagOn))
			s.reports("2031-04-24", "18:00", going("lead", call.BagOn, "2031-04-26"))
		}, "", ""},
		{"a day, then can't, does", func(s *story) {
			s.reports("2031-04-24", "17:30", going("lead", call.BagOn, "2031-04-26"))
			s.reports("2031-04-24", "18:00", cannot("lead", call.BagOn))
		}, "deputy", call.CannotGo},
		{"a promise outlives a returned mail", func(s *story) {
			s.reports("2031-04-24", "17:30", going("lead", call.BagOn, "2031-04-26"))
			s.facts.Returned[call.BagOn] = moment("2031-04-24", "17:40")
		}, "", ""},
	} {
		s := called(t)
		r.change(s)
		play(t, s, call.BagOn, []row{{"2031-04-24", "18:00", r.what, nil, nil, call.Go, call.BestDaysBegin, r.told, r.why}})
	}
}

func TestAPromiseStopsRemindersUntilItsDayIsPast(t *testing.T) {
	play(t, called(t), call.BagOn, []row{
		{"2031-04-24", "19:00", "the lead goes on 2 May", []trail.Report{going("lead", call.BagOn, "2031-05-02")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-27", "17:00", "nobody is asked", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "not even hurried", nil, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-05-03", "06:10", "no report: asked next morning", nil, nil, call.Hurry, call.LastDaysBegin, "lead", call.PromisePast},
		{"2031-05-03", "15:10", "and passed on when that isn't answered in time", nil, nil, call.Hurry, call.LastDaysBegin, "deputy", call.AnswerOverdue},
	})
}

func TestAPromiseOfADayThatIsTooLateIsNotEnough(t *testing.T) {
	play(t, called(t), call.BagOn, []row{
		{"2031-04-24", "19:00", "after the last day", []trail.Report{going("lead", call.BagOn, "2031-05-08")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "so the lead is told of the last days", nil, nil, call.Hurry, call.LastDaysBegin, "lead", call.LastDaysBegin},
		{"2031-05-02", "17:00", "and waited for", nil, nil, call.Hurry, call.LastDaysBegin, "deputy", call.AnswerOverdue},
	})
}

func TestAReportOfThePromisedDayKeepsThePromise(t *testing.T) {
	play(t, called(t), call.BagOn, []row{
		{"2031-04-24", "19:00", "the lead goes on the 26th", []trail.Report{going("lead", call.BagOn, "2031-04-26")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-26", "19:00", "one of two trees", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-27", "06:10", "isn't everything, but no broken promise", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "the rest is called for in the last days", nil, nil, call.Hurry, call.LastDaysBegin, "lead", call.LastDaysBegin},
	})
}

func TestWhoPromisesTakesTheTask(t *testing.T) {
	play(t, called(t), call.BagOn, []row{
		{"2031-04-25", "17:00", "passed on", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-25", "20:00", "the lead answers late and goes", []trail.Report{going("lead", call.BagOn, "2031-04-27")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-25", "21:00", "the deputy can't, which is no matter any more", []trail.Report{cannot("deputy", call.BagOn)}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-28", "06:10", "the lead is asked about the promise", nil, nil, call.Go, call.BestDaysBegin, "lead", call.PromisePast},
	})
}

func TestCannotIsHeardWhileTheDaysAreComing(t *testing.T) {
	play(t, begin(springOf2031()), call.BagOn, []row{
		{"2031-04-14", "17:00", "ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-15", "09:00", "the lead is away: the deputy can plan", []trail.Report{cannot("lead", call.BagOn)}, nil, call.Ahead, call.DaysComing, "deputy", call.CannotGo},
		{"2031-04-15", "17:00", "once", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-20", "12:00", "the deputy promises a day", []trail.Report{going("deputy", call.BagOn, "2031-04-27")}, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-24", "17:00", "and is the one who is called", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.BestDaysBegin},
		{"2031-04-25", "17:00", "but not waited for: the answer is there", nil, nil, call.Go, call.BestDaysBegin, "", ""},
	})
}

func TestDaysThatMoveWellAway(t *testing.T) {
	later := func(s *story) {
		s.forecast.Break, s.forecast.Flowering = logistic("2031-05-26", 1.2), logistic("2031-06-01", 1.5)
	}
	play(t, called(t), call.BagOn, []row{
		{"2031-04-25", "17:00", "passed on", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "06:10", "twenty days later: nothing is taken back", nil, later, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-26", "17:00", "before the evening, when whoever has the task hears of it", nil, nil, call.Ahead, call.DaysComing, "deputy", call.DaysMoved},
		{"2031-05-14", "17:00", "and is called for the new days", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.BestDaysBegin},
	})
}

func TestNewDaysAreForTheFirstInTheChainWhereNobodyWasLeft(t *testing.T) {
	s := called(t)
	s.facts.Site.Field = s.facts.Site.Field[:2]
	play(t, s, call.BagOn, []row{
		{"2031-04-25", "17:00", "the deputy", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "17:00", "nobody else", nil, nil, call.Go, call.BestDaysBegin, "nobody", call.NobodyElseKnown},
		{"2031-04-27", "17:00", "far off now: whoever was told last hears of it", nil, func(s *story) {
			s.forecast.Break, s.forecast.Flowering = logistic("2031-06-26", 1.2), logistic("2031-07-01", 1.5)
		}, call.Ahead, call.DaysComing, "deputy", call.DaysMoved},
		{"2031-04-28", "17:00", "and no more spoken of", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-06-14", "17:00", "the new days are for the lead", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
}

// The deputy can only go on Saturdays: the days are the deputy's own as soon
// as the task is.
func TestThePersonItIsPassedToHasDaysOfTheirOwn(t *testing.T) {
	s := called(t)
	s.facts.Site.Field[1].CanGo = season.Weekdays(0).On(time.Saturday)
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "18:00", "can't", []trail.Report{cannot("lead", call.BagOn)}, nil, call.Go, call.BestDaysBegin, "deputy", call.CannotGo},
	})
	if best := s.facts.Calls[call.BagOn].Best; best.Weekday() != time.Saturday {
		t.Errorf("best on a %s, %s", best.Weekday(), best)
	}
}

func TestAnswersNeverCountAsDone(t *testing.T) {
	s := bagged()
	for _, task := range call.Tasks {
		s.reports("2031-04-28", "12:00", going("lead", task, "2031-04-29"), cannot("deputy", task))
	}
	for day := civil.MustParse("2031-04-28"); day <= civil.MustParse("2031-09-30"); day++ {
		out := s.at(day.String(), "17:00")
		for task, st := range out.Calls {
			if st.Standing == call.Done && task != call.BagOn {
				t.Fatalf("%s: %s is done by an answer", day, task)
			}
		}
	}
}

func TestWhoIsPassedATaskIsToldOfItApartOnce(t *testing.T) {
	s := called(t)
	passed := 0
	for _, at := range []string{"2031-04-25 17:00", "2031-05-02 06:10"} {
		for _, o := range s.at(at[:10], at[11:]).Owed {
			if o.Task == call.BagOn && o.Passed {
				passed++
			}
		}
		s.reports(at[:10], "18:00", going("deputy", call.BagOn, "2031-05-01"))
	}
	if passed != 1 {
		t.Errorf("%d things came from somebody else, want the first alone", passed)
	}
}

func TestAPersonWhoLeftTheChainIsNotWaitedFor(t *testing.T) {
	s := called(t)
	play(t, s, call.BagOn, []row{
		{"2031-04-25", "17:00", "passed on", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "12:00", "the deputy is gone from the configuration, the lead is all there is", nil, func(s *story) { alone(s, 0) }, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-26", "17:00", "who was asked before, in vain", nil, nil, call.Go, call.BestDaysBegin, "nobody", call.NobodyElseKnown},
	})
}
