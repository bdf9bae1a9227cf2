package season_test

import (
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// bagged is a story whose two living trees have their bags on since 28 April.
func bagged() *story {
	s := begin(springOf2031())
	s.reports("2031-04-28", "12:00", bagsOn("T1", 2, 1), bagsOn("T2", 2, 1))
	return s
}

// P(69) >= 0.95 from 4 June on, 21 days later is 25 June; by hand.
func TestBagsComeOffWhenNothingShedsPollen(t *testing.T) {
	play(t, bagged(), call.TakeOff, []row{
		{"2031-05-20", "17:00", "more than two weeks before", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-05-21", "17:00", "two weeks before", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-06-02", "17:00", "0.9 isn't enough", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-06-03", "17:00", "the evening before", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-06-04", "17:00", "can't", []trail.Report{cannot("lead", call.TakeOff)}, nil, call.Go, call.BestDaysBegin, "deputy", call.CannotGo},
		{"2031-06-05", "12:00", "one tree is off", []trail.Report{onTree(trail.BagsOff, "T1")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-06-23", "17:00", "which was an answer", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-06-24", "06:10", "the last two days", nil, nil, call.Hurry, call.LastDaysBegin, "deputy", call.LastDaysBegin},
		{"2031-06-24", "09:00", "tomorrow", []trail.Report{going("deputy", call.TakeOff, "2031-06-25")}, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-06-26", "06:10", "overdue, and not reported", nil, nil, call.Hurry, call.LastDayPast, "deputy", call.PromisePast},
		{"2031-06-26", "09:00", "off", []trail.Report{onTree(trail.BagsOff, "T2")}, nil, call.Done, call.Reported, "", ""},
	})
}

func TestSeenEndOfFloweringOpensTakingOff(t *testing.T) {
	play(t, bagged(), call.TakeOff, []row{
		{"2031-05-21", "17:00", "ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-05-25", "12:00", "flowering is over, by report: told at once", []trail.Report{{Kind: trail.StageSeen, BBCH: 69}}, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
}

func TestBagsThatWerePickedFromNeedNotComeOff(t *testing.T) {
	play(t, bagged(), call.TakeOff, []row{
		{"2031-06-04", "06:10", "the day has come", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-07-29", "12:00", "never reported, but seed was picked", []trail.Report{onTree(trail.Picked, "T1"), onTree(trail.Picked, "T2")}, nil, call.NotNeeded, call.Reported, "", ""},
		{"2031-07-29", "17:00", "which the person who was asked hears", nil, nil, call.NotNeeded, call.Reported, "lead", call.Reported},
	})
}

// P10 of ripeness is 24 July, P50 is 28 July; by hand.
func TestSeedIsLookedAt(t *testing.T) {
	play(t, bagged(), call.LookAtSeed, []row{
		{"2031-07-09", "17:00", "far off", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-07-10", "17:00", "two weeks before: the picking is told of then", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-07-23", "17:00", "the evening before P10", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-07-24", "12:00", "seen green: a look is a look", []trail.Report{{Kind: trail.SeedGreen}}, nil, call.Done, call.Reported, "", ""},
	})
	play(t, bagged(), call.LookAtSeed, []row{
		{"2031-07-27", "06:10", "the last two days before P50", nil, nil, call.Hurry, call.LastDaysBegin, "lead", call.LastDaysBegin},
		{"2031-07-28", "12:00", "who has picked needn't look", []trail.Report{{Kind: trail.NothingToPick}}, nil, call.NotNeeded, call.Reported, "", ""},
	})
}

func TestALookIsWorthWhileWhereSeedMayNotRipen(t *testing.T) {
	s := bagged()
	s.forecast.Ripe = seldom(logistic("2031-08-20", 4), 0.4) // P10 on 16 August, P50 never
	s.forecast.Shed = seldom(logistic("2031-09-10", 4), 0.3)
	s.at("2031-08-15", "17:00")
	got := s.facts.Calls[call.LookAtSeed]
	if got.Standing != call.Go || got.Days.Last != civil.MustParse("2031-09-30") {
		t.Errorf("%q, days %s; want called, until the season's end", got.Standing, got.Days)
	}
}

// Late (shed) against early (unripe): the smallest sum up to the last day with
// P(shed) <= 0.10, 30 July, is on 30 July; by hand.
func TestSeedIsPickedBetweenRipeAndShed(t *testing.T) {
	play(t, bagged(), call.PickSeed, []row{
		{"2031-07-11", "17:00", "far off", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-07-12", "17:00", "two weeks before the first of five days", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-07-27", "17:00", "waiting still lowers the loss", nil, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-07-28", "06:10", "the day before the last days, at the latest", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-07-28", "09:00", "on the thirtieth", []trail.Report{going("lead", call.PickSeed, "2031-07-30")}, nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-07-30", "17:00", "T1 is picked, T2 isn't, and it is the last day", []trail.Report{onTree(trail.Picked, "T1")}, nil, call.Hurry, call.LastDaysBegin, "lead", call.LastDaysBegin},
		{"2031-07-30", "17:30", "tomorrow", []trail.Report{going("lead", call.PickSeed, "2031-07-31")}, nil, call.Hurry, call.LastDaysBegin, "", ""},
		{"2031-07-31", "06:10", "past the last day T2 must be looked at", nil, nil, call.LookFirst, call.LastDayPast, "lead", call.LastDayPast},
		{"2031-07-31", "12:00", "nothing on T2", []trail.Report{onTree(trail.NothingToPick, "T2")}, nil, call.Done, call.Reported, "", ""},
	})
}

func TestBrownSeedOpensPickingAtOnce(t *testing.T) {
	play(t, bagged(), call.PickSeed, []row{
		{"2031-07-15", "17:00", "ahead", nil, nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-07-18", "12:00", "green: nothing changes", []trail.Report{{Kind: trail.SeedGreen}}, nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-07-20", "12:00", "brown: told at once", []trail.Report{{Kind: trail.SeedBrown}}, nil, call.Go, call.SeenBrown, "lead", call.SeenBrown},
		{"2031-07-20", "17:00", "once", nil, nil, call.Go, call.SeenBrown, "", ""},
	})
}

func TestSeedThatIsStillThereIsNotShed(t *testing.T) {
	play(t, bagged(), call.PickSeed, []row{
		{"2031-08-03", "06:10", "past the last day", nil, nil, call.LookFirst, call.LastDayPast, "lead", call.LastDayPast},
		{"2031-08-10", "06:10", "as good as surely shed", nil, nil, call.TooLate, call.NearlySurePast, "", ""},
		{"2031-08-10", "12:00", "but somebody saw brown catkins", []trail.Report{{Kind: trail.SeedBrown}}, nil, call.LookFirst, call.SeenBrown, "lead", call.SeenBrown},
		{"2031-08-10", "14:00", "picked", []trail.Report{onTree(trail.Picked, "T1"), onTree(trail.Picked, "T2")}, nil, call.Done, call.Reported, "", ""},
	})
}

func TestTooLateToPickEndsTheLookToo(t *testing.T) {
	s := bagged()
	s.at("2031-07-23", "17:00")
	play(t, s, call.LookAtSeed, []row{
		{"2031-08-12", "06:10", "all is shed", nil, nil, call.NotNeeded, call.NearlySurePast, "", ""},
		{"2031-08-12", "17:00", "and the look that was asked for is not needed", nil, nil, call.NotNeeded, call.NearlySurePast, "lead", call.NearlySurePast},
	})
}

func TestNothingToPickEndsTheSeason(t *testing.T) {
	s := bagged()
	s.reports("2031-07-20", "12:00", trail.Report{Kind: trail.NothingToPick})
	out := s.at("2031-07-20", "13:00")
	for task, want := range map[call.Task]call.Standing{
		call.PickSeed: call.Done, call.LookAtSeed: call.NotNeeded, call.ShortSeason: call.NotNeeded, call.TakeOff: call.NotNeeded,
	} {
		if got := out.Calls[task].Standing; got != want {
			t.Errorf("%s is %q, want %q", task, got, want)
		}
	}
}

func TestSeedThatCannotRipenHasNoDays(t *testing.T) {
	s := bagged()
	s.forecast.Ripe, s.forecast.Shed = seldom(logistic("2031-08-20", 4), 0), seldom(logistic("2031-08-20", 4), 0)
	for _, day := range []string{"2031-04-28", "2031-07-20", "2031-09-30"} {
		if got := s.at(day, "17:00").Calls[call.PickSeed]; got.Standing != call.Quiet {
			t.Errorf("%s: picking is %q (%s), days %s", day, got.Standing, got.Reason, got.Days)
		}
	}
}

func TestWithoutBagsNothingIsTakenOffOrPicked(t *testing.T) {
	s := begin(springOf2031())
	for _, r := range []struct {
		day, what string
		before    []trail.Report
		bag       call.Standing
		later     call.Standing
		reason    call.Reason
	}{
		{"2031-05-09", "while trees may still be bagged, what comes after isn't spoken of", nil, call.LookFirst, call.Quiet, call.NoBagsOn},
		{"2031-05-10", "then it isn't needed", nil, call.TooLate, call.NotNeeded, call.NoBagsOn},
		{"2031-07-20", "all summer", nil, call.TooLate, call.NotNeeded, call.NoBagsOn},
		{"2031-07-21", "unless bags were reported late", []trail.Report{bagsOn("T1", 2, 1)}, call.TooLate, call.Ahead, call.DaysComing},
	} {
		s.reports(r.day, "12:00", r.before...)
		out := s.at(r.day, "13:00")
		got := out.Calls[call.PickSeed]
		if out.Calls[call.BagOn].Standing != r.bag || got.Standing != r.later || got.Reason != r.reason {
			t.Errorf("%s %s: bagging %q, picking %q (%s)", r.day, r.what, out.Calls[call.BagOn].Standing, got.Standing, got.Reason)
		}
		for _, task := range []call.Task{call.TakeOff, call.LookAtSeed, call.ShortSeason} {
			if st := out.Calls[task]; r.later == call.NotNeeded && (st.Standing != call.NotNeeded || st.Reason != call.NoBagsOn) {
				t.Errorf("%s %s: %s is %q (%s)", r.day, r.what, task, st.Standing, st.Reason)
			}
		}
		if len(out.Owed) > 0 && r.later == call.NotNeeded {
			t.Errorf("%s: told %v of what was never spoken of", r.day, out.Owed)
		}
	}
}
