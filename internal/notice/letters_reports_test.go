package notice_test

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/trail"
)

// lettersOnReports are those that follow from what people report, and those of
// the calls that a report alone can end, by the name of their golden files.
func lettersOnReports() map[string]notice.Letter {
	all := map[string]notice.Letter{
		"survey-trees":    letter("2031.KOL.survey-trees.1", "03-31", survey()),
		"check-bags-wind": answerable(letter("2031.KOL.check-bags.1", "05-20", checkBags())),
		"bag-on-torn":     letter("2031.KOL.bag-on.7", "05-08", changed(bagOn(), torn)),
		"lot-expected":    letter("2031.KOL.lot-expected.1", "08-03", lotExpected()),
		"packets-differ": asked("2031.KOL.lot-expected.3", call.PacketsDiffer, lotExpected(),
			trail.Report{Kind: trail.Picked, Tree: "T1", Selfing: 2, Control: 1, Day: day("08-03"), At: day("08-03").In(zone, 19, 40)},
			trail.Report{Kind: trail.LotReceived, Tree: "T1", Selfing: 2, Day: day("08-07"), At: day("08-07").In(zone, 10, 5)}),
		"reports-differ": asked("2031.KOL.bag-on.8", call.ReportsDiffer, bagOn(),
			trail.Report{Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: day("05-04"), At: day("05-04").In(zone, 15, 30)},
			trail.Report{Kind: trail.BagsOn, Tree: "T1", Day: day("05-04"), At: day("05-04").In(zone, 18, 2)}),
		"problem": asked("2031.KOL.bag-on.9", call.ProblemReported, bagOn(),
			trail.Report{Kind: trail.Problem, Day: day("05-04"), At: day("05-04").In(zone, 9, 12), Note: "The gate is locked, and the farmer doesn't answer."}),
	}
	overdue := lotExpected()
	overdue.Standing, overdue.Reason = call.Hurry, call.LotOverdue
	all["lot-overdue"] = letter("2031.KOL.lot-expected.2", "08-14", overdue)
	return all
}

func answerable(l notice.Letter) notice.Letter {
	l.ReplyTo = "answers@birch.example"
	return l
}

func survey() notice.Item {
	it := bagOn()
	it.Task, it.Reason, it.Second = call.SurveyTrees, call.SurveyTime, false
	it.Days, it.CanGo, it.Best = days("04-01", "04-15"), nil, 0
	it.Why.Reading, it.Why.HeatCd = day("03-30"), 2
	return it
}

func checkBags() notice.Item {
	it := bagOn()
	it.Task, it.Reason, it.Second = call.CheckBags, call.StrongWind, false
	it.Days, it.CanGo, it.Best = days("05-21", "05-23"), nil, 0
	it.Trees, it.Why.Reading = fourTrees[:2], day("05-20")
	return it
}

func torn(it *notice.Item) {
	it.Reason, it.Replaces, it.Second = call.BagsTorn, true, false
	it.Trees = []notice.TreeNeed{{Code: "KOL-102", Short: "T2", Selfing: 1, OnSelfing: 1, OnControl: 1}}
	it.Days, it.CanGo, it.Best = days("05-09", "05-11"), nil, day("05-09")
	it.Why.GoOn, it.Why.WaitFor = day("05-09"), 0
}

func lotExpected() notice.Item {
	it := pickSeed()
	it.Task, it.Standing, it.Reason = call.LotExpected, call.Go, call.SeedPicked
	it.Days, it.CanGo, it.Best = days("08-03", "08-10"), nil, 0
	it.Why.Within, it.Trees = 7, fourTrees[:1]
	return it
}

// asked is a letter to the coordinator about what the lead and the deputy said.
func asked(id string, why call.Reason, it notice.Item, said ...trail.Report) notice.Letter {
	it.Reason, it.Standing = why, call.Done
	by := []notice.Contact{aino, petri}
	for n, r := range said {
		it.Said = append(it.Said, notice.Said{By: by[n], Report: r})
	}
	l := letter(id, said[len(said)-1].Day.In(time.UTC, 0, 0).Format("01-02"), it)
	l.To, l.ToName = "liis@birch.example", liis.Name
	return l
}
