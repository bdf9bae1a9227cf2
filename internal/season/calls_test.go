package season_test

import (
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

func saying(person string, kind trail.Kind, task call.Task) trail.Report {
	return trail.Report{Kind: kind, Task: string(task), Person: person}
}

// The weeks of the survey are 1 to 21 March.
func TestTreesAreSurveyedInMarch(t *testing.T) {
	play(t, begin(springOf2031()), call.SurveyTrees, []row{
		{"2031-02-27", "17:00", "not yet", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-02-28", "17:00", "the evening before", nil, nil, call.Go, call.SurveyTime, "lead", call.SurveyTime},
		{"2031-03-01", "09:00", "I go on the 5th", []trail.Report{going("lead", call.SurveyTrees, "2031-03-05")}, nil, call.Go, call.SurveyTime, "", ""},
		{"2031-03-05", "18:00", "one tree bears 120 catkins", []trail.Report{{Kind: trail.CatkinsSeen, Tree: "T1", Count: 120}}, nil, call.Go, call.SurveyTime, "", ""},
		{"2031-03-06", "18:00", "the other none: each living tree was said", []trail.Report{onTree(trail.NoCatkins, "T2")}, nil, call.Done, call.Reported, "", ""},
	})
}

func TestNobodyWhoDoesntSurveyIsHeldBack(t *testing.T) {
	s := begin(springOf2031())
	play(t, s, call.SurveyTrees, []row{
		{"2031-04-10", "06:10", "begun after the weeks of the survey", nil, nil, call.NotNeeded, call.TooLateToHelp, "", ""},
	})
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "bagging is called all the same", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
	s = begin(springOf2031())
	play(t, s, call.SurveyTrees, []row{
		{"2031-02-28", "17:00", "asked", nil, nil, call.Go, call.SurveyTime, "lead", call.SurveyTime},
		{"2031-04-24", "17:00", "never done, and bagging begins", nil, nil, call.NotNeeded, call.BaggingBegins, "lead", call.BaggingBegins},
	})
}

func TestATreeWithoutCatkinsIsAskedForNothing(t *testing.T) {
	s := begin(springOf2031())
	s.reports("2031-03-05", "12:00", onTree(trail.NoCatkins, "T2"))
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "the other tree is bagged", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-28", "12:00", "and that is all", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Done, call.Reported, "", ""},
	})
	s = begin(springOf2031())
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "called", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-25", "12:00", "no tree bears any", []trail.Report{{Kind: trail.NoCatkins}}, nil, call.NotNeeded, call.NoCatkins, "", ""},
		{"2031-04-25", "17:00", "which the lead hears", nil, nil, call.NotNeeded, call.NoCatkins, "lead", call.NoCatkins},
		{"2031-04-26", "12:00", "one does, after all", []trail.Report{onTree(trail.CatkinsSeen, "T1")}, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
}

// A spring of which little is known: bud break spread over three weeks, by a
// swelling that a look would show.
func TestBudsAreLookedAtWhereThatChangesTheDays(t *testing.T) {
	wide := springOf2031()
	wide.Swelling, wide.Break, wide.Flowering = logistic("2031-04-26", 5), logistic("2031-05-06", 5), logistic("2031-05-20", 5)
	sure := springOf2031()
	sure.Swelling, sure.Break, sure.Flowering = logistic("2031-04-26", 0.2), logistic("2031-05-06", 0.2), logistic("2031-05-20", 0.2)
	asked := func(f season.Forecast, blind bool) (first call.Reason, times int) {
		s := begin(f)
		s.facts.Blind = blind
		for day := civil.MustParse("2031-04-01"); day <= civil.MustParse("2031-05-10"); day++ {
			out := s.at(day.String(), "17:00")
			for _, o := range out.Owed {
				if o.Task == call.LookAtBuds && o.Standing == call.Go && !o.Passed {
					times++
					if first == "" {
						first = o.Reason
					}
					if last := out.Calls[call.BagOn].Days.Last; out.Calls[call.LookAtBuds].Days.Last > last-3 {
						t.Errorf("asked for a look on %s, in the last three days before %s", out.Calls[call.LookAtBuds].Days, last)
					}
				}
			}
		}
		return first, times
	}
	if why, n := asked(wide, false); why != call.LookHelps || n > 3 {
		t.Errorf("of a spring that may be early or late a look is asked because %q, %d times", why, n)
	}
	if why, n := asked(sure, false); n != 0 {
		t.Errorf("of a spring that is certain a look is asked because %q, %d times", why, n)
	}
	if why, n := asked(sure, true); why != call.StationSilent || n == 0 {
		t.Errorf("where the station is silent a look is asked because %q, %d times", why, n)
	}
}

// Bags hang since 28 April; with nobody looking for ten days a check is due on
// 8 May, for three days; by hand.
func TestBagsAreChecked(t *testing.T) {
	s := bagged()
	play(t, s, call.CheckBags, []row{
		{"2031-04-30", "17:00", "they hang", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-05-06", "17:00", "nine days", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-05-07", "17:00", "the evening before ten", nil, nil, call.Go, call.LookDue, "lead", call.LookDue},
		{"2031-05-08", "11:00", "one tree is whole", []trail.Report{onTree(trail.BagsFine, "T1")}, nil, call.Go, call.LookDue, "", ""},
		{"2031-05-08", "12:00", "and the other", []trail.Report{onTree(trail.BagsFine, "T2")}, nil, call.Done, call.Reported, "", ""},
	})
	s.facts.Winds = []weather.Wind{{Date: civil.MustParse("2031-05-10"), GustMS: 19}, {Date: civil.MustParse("2031-05-12"), GustMS: 22}}
	play(t, s, call.CheckBags, []row{
		{"2031-05-10", "17:00", "19 m/s is no storm", nil, nil, call.Done, call.Reported, "", ""},
		{"2031-05-11", "17:00", "one that is foreseen isn't there yet", nil, nil, call.Done, call.Reported, "", ""},
		{"2031-05-12", "17:00", "22 m/s is", nil, nil, call.Go, call.StrongWind, "lead", call.StrongWind},
		{"2031-05-13", "12:00", "all whole", []trail.Report{{Kind: trail.BagsFine}}, nil, call.Done, call.Reported, "", ""},
		{"2031-05-14", "17:00", "and that storm is dealt with", nil, nil, call.Done, call.Reported, "", ""},
	})
}

// Flowering begins on 12 May as likely as not, buds have broken on 6 May.
func TestTornBagsAreReplacedBeforeFloweringAndDoubtfulAfterwards(t *testing.T) {
	torn := onTree(trail.BagsTorn, "T1")
	torn.Selfing = 1
	play(t, bagged(), call.BagOn, []row{
		{"2031-04-30", "17:00", "all bags are on", nil, nil, call.Done, call.Reported, "", ""},
		{"2031-05-08", "12:00", "one is torn, while nothing flowers: said at once", []trail.Report{torn}, nil, call.Hurry, call.BagsTorn, "lead", call.BagsTorn},
		{"2031-05-08", "18:00", "replaced", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Done, call.Reported, "", ""},
	})
	s := bagged()
	play(t, s, call.BagOn, []row{
		{"2031-05-20", "12:00", "torn when all flowers: nothing can be done", []trail.Report{torn}, nil, call.Done, call.Reported, "", ""},
	})
	needs := season.Needs(call.TakeOff, season.Stock{
		Trees: s.facts.Site.Trees, Settings: s.facts.Site.Settings, Reports: s.facts.Reports, Flowering: civil.MustParse("2031-05-12"),
	})
	if len(needs) != 2 || needs[0].DoubtfulSince != civil.MustParse("2031-05-20") || needs[1].DoubtfulSince != 0 {
		t.Errorf("doubtful: %+v", needs)
	}
}

func TestGreenTipsStopATreeAlone(t *testing.T) {
	s := begin(springOf2031())
	green := trail.Report{Kind: trail.StageSeen, Tree: "T2", BBCH: 7}
	play(t, s, call.BagOn, []row{
		{"2031-05-04", "06:10", "the last day is past", nil, nil, call.LookFirst, call.LastDayPast, "lead", call.LastDayPast},
		{"2031-05-04", "12:00", "one tree shows green tips and is left, the other is still to do", []trail.Report{green}, nil, call.LookFirst, call.LastDayPast, "", ""},
		{"2031-05-04", "13:00", "closed, and bagged", []trail.Report{bagsOn("T1", 2, 1)}, nil, call.Done, call.Reported, "", ""},
	})
}

// Seed is picked on 29 July; its lots are due on 5 August.
func TestLotsAreExpectedAndMissed(t *testing.T) {
	s := bagged()
	s.facts.Site.Lab = []season.Person{{Code: "lab"}, {Code: "coord"}}
	play(t, s, call.LotExpected, []row{
		{"2031-07-28", "17:00", "nothing is picked", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-07-29", "12:00", "one tree is", []trail.Report{{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1}}, nil, call.Go, call.SeedPicked, "", ""},
		{"2031-07-29", "17:00", "the laboratory hears of it in the evening", nil, nil, call.Go, call.SeedPicked, "lab", call.SeedPicked},
		{"2031-08-05", "17:00", "and isn't pressed while the parcel is under way", nil, nil, call.Go, call.SeedPicked, "", ""},
		{"2031-08-06", "06:10", "overdue", nil, nil, call.Hurry, call.LotOverdue, "lab", call.LotOverdue},
		{"2031-08-07", "09:00", "it has come", []trail.Report{onTree(trail.LotReceived, "T1")}, nil, call.Done, call.Reported, "", ""},
		{"2031-08-08", "12:00", "another tree is picked", []trail.Report{{Kind: trail.Picked, Tree: "T2", Selfing: 2}}, nil, call.Go, call.SeedPicked, "", ""},
	})
}

func TestDangerAndForbiddenGroundGoToTheCoordinator(t *testing.T) {
	for kind, why := range map[trail.Kind]call.Reason{trail.Unsafe: call.Unsafe, trail.NoPermission: call.NoPermission} {
		play(t, called(t), call.BagOn, []row{
			{"2031-04-24", "18:00", "a deputy would meet the same", []trail.Report{saying("lead", kind, call.BagOn)}, nil, call.Go, call.BestDaysBegin, "coord", why},
			{"2031-04-24", "19:00", "told once", nil, nil, call.Go, call.BestDaysBegin, "", ""},
		})
	}
}

func TestWhoIsAwayIsNotAsked(t *testing.T) {
	days := func(from, to string) civil.Range {
		return civil.Range{First: civil.MustParse(from), Last: civil.MustParse(to)}
	}
	s := begin(springOf2031())
	s.facts.Site.Field[0].Away = []civil.Range{days("2031-04-20", "2031-05-12")}
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "the deputy is asked in place of the lead", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.BestDaysBegin},
	})
	away := saying("lead", trail.Away, call.BagOn)
	away.On, away.Until = civil.MustParse("2031-04-24"), civil.MustParse("2031-04-28")
	play(t, called(t), call.BagOn, []row{
		{"2031-04-24", "18:00", "away from today: passed on", []trail.Report{away}, nil, call.Go, call.BestDaysBegin, "deputy", call.IsAway},
		{"2031-04-24", "19:00", "once", nil, nil, call.Go, call.BestDaysBegin, "", ""},
	})
	s = begin(springOf2031())
	for i := range s.facts.Site.Field {
		s.facts.Site.Field[i].Away = []civil.Range{days("2031-04-20", "2031-05-12")}
	}
	play(t, s, call.BagOn, []row{
		{"2031-04-24", "17:00", "all are away, and somebody must be told", nil, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
	})
}

func TestReportsThatDifferAreTheCoordinatorsToSettle(t *testing.T) {
	s := bagged()
	none := bagsOn("T1", 0, 0)
	none.Person, none.Day = "deputy", civil.MustParse("2031-04-28")
	problem := trail.Report{Kind: trail.Problem, Task: string(call.BagOn), Person: "lead", Note: "the gate is locked"}
	play(t, s, call.BagOn, []row{
		{"2031-04-29", "12:00", "the lead has bagged T1, the deputy says that nothing hangs there", []trail.Report{none}, nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-29", "17:00", "asked in the evening", nil, nil, call.Go, call.BestDaysBegin, "coord", call.ReportsDiffer},
		{"2031-04-30", "17:00", "once", nil, nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
	})
	s = bagged()
	for person, says := range map[string]trail.Report{
		"lead":   {Kind: trail.StageSeen, BBCH: 60, Day: civil.MustParse("2031-05-12")},
		"deputy": {Kind: trail.NotYet, BBCH: 60, Day: civil.MustParse("2031-05-14")},
	} {
		says.Person, says.Task = person, string(call.TakeOff)
		s.reports("2031-05-14", "12:00", says)
	}
	for n, day := range []string{"2031-05-14", "2031-05-15"} { // once
		asked, want := 0, 1-n
		for _, o := range s.at(day, "17:00").Owed {
			if o.Reason == call.ReportsDiffer && o.Person == "coord" && o.Task == call.TakeOff {
				asked++
			}
		}
		if asked != want {
			t.Errorf("flowering was seen, and two days later found not begun: asked %d times on %s", asked, day)
		}
	}
	s = bagged()
	play(t, s, call.BagOn, []row{
		{"2031-04-29", "12:00", "a problem", []trail.Report{problem}, nil, call.Done, call.Reported, "", ""},
		{"2031-04-29", "17:00", "is the coordinator's", nil, nil, call.Done, call.Reported, "coord", call.ProblemReported},
		{"2031-04-30", "17:00", "once", nil, nil, call.Done, call.Reported, "", ""},
	})
}

// Two packets of selfing and one of control were picked; what comes is counted
// by the laboratory. A tick that says only that they came counts nothing.
func TestPacketsThatCameOtherwiseAreTheCoordinatorsToSettle(t *testing.T) {
	picked := trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1}
	came := func(selfing, control int) trail.Report {
		return trail.Report{Kind: trail.LotReceived, Tree: "T1", Person: "lab", Selfing: selfing, Control: control}
	}
	for name, r := range map[string]struct {
		came  trail.Report
		asked call.Reason
	}{
		"as many":                        {came(2, 1), ""},
		"uncounted":                      {came(0, 0), ""},
		"a packet too few":               {came(1, 1), call.PacketsDiffer},
		"no control":                     {came(2, 0), call.PacketsDiffer},
		"one of selfing as a control":    {came(1, 2), call.PacketsDiffer},
		"a packet more than were picked": {came(3, 1), call.PacketsDiffer},
	} {
		t.Run(name, func(t *testing.T) {
			s := bagged()
			s.facts.Site.Lab = []season.Person{{Code: "lab"}, {Code: "coord"}}
			coordinator := ""
			if r.asked != "" {
				coordinator = "coord"
			}
			play(t, s, call.LotExpected, []row{
				{"2031-07-29", "12:00", "T1 is picked", []trail.Report{picked}, nil, call.Go, call.SeedPicked, "", ""},
				{"2031-07-29", "17:00", "the laboratory hears of it", nil, nil, call.Go, call.SeedPicked, "lab", call.SeedPicked},
				{"2031-08-02", "12:00", "packets have come", []trail.Report{r.came}, nil, call.Done, call.Reported, "", ""},
				{"2031-08-02", "17:00", "asked in the evening", nil, nil, call.Done, call.Reported, coordinator, r.asked},
				{"2031-08-03", "17:00", "once", nil, nil, call.Done, call.Reported, "", ""},
			})
		})
	}
}

// Buds swell about 20 April, flowering ends about 30 May, and seed is ripe about
// 28 July (standard deviations 2 to 4 days).
func TestWorkReportedOfADayTooEarlyForItIsAskedAbout(t *testing.T) {
	for name, r := range map[string]struct {
		task call.Task
		day  string
		said trail.Report
		want call.Reason
	}{
		"bags on New Year's Day":                     {call.BagOn, "2031-01-01", bagsOn("T1", 2, 1), call.ReportedEarly},
		"bags a week before the first buds swell":    {call.BagOn, "2031-04-08", bagsOn("T1", 2, 1), ""},
		"bags on, and the seed is picked":            {call.BagOn, "2031-08-02", bagsOn("T1", 2, 1), call.ReportedEarly},
		"bags off in the middle of flowering":        {call.TakeOff, "2031-05-20", onTree(trail.BagsOff, "T1"), call.ReportedEarly},
		"bags off once most of it is over":           {call.TakeOff, "2031-06-04", onTree(trail.BagsOff, "T1"), ""},
		"seed picked before midsummer":               {call.PickSeed, "2031-06-20", trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1}, call.ReportedEarly},
		"seed picked a few days before it is likely": {call.PickSeed, "2031-07-25", trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			s := bagged()
			if r.task == call.BagOn {
				s = begin(springOf2031())
			}
			asked := false
			if r.day == "2031-08-02" {
				s.reports("2031-08-01", "12:00", trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1})
			}
			s.reports(r.day, "12:00", r.said)
			for _, o := range s.at(r.day, "17:00").Owed {
				asked = asked || o.Reason == call.ReportedEarly && o.Person == "coord"
			}
			if asked != (r.want != "") {
				t.Errorf("the coordinator is asked: %v", asked)
			}
			for _, o := range s.at(r.day, "17:00").Owed {
				if o.Reason == call.ReportedEarly {
					t.Error("asked twice")
				}
			}
		})
	}
}

// Hours of rest are 21 to 7 o.clock, unless set otherwise.
func TestNobodysTimeRunsOutByNight(t *testing.T) {
	s := season.Defaults()
	for _, r := range []struct {
		clock   string
		resting bool
		ends    string
	}{
		{"20:59", false, ""}, {"21:00", true, "2031-04-25 07:00"}, {"23:30", true, "2031-04-25 07:00"}, {"06:59", true, "2031-04-24 07:00"}, {"07:00", false, ""},
	} {
		_, ends, resting := s.Rest(moment("2031-04-24", r.clock))
		if resting != r.resting || resting && ends.Format("2006-01-02 15:04") != r.ends {
			t.Errorf("at %s: %v until %s", r.clock, resting, ends)
		}
	}
}
