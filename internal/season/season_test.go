package season_test

import (
	"math"
	"reflect"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/season"
	"budcall/internal/trail"
)

// logistic is a distribution with a given median and scale in days; only the
// shape matters to the rules of the calls.
func logistic(median string, scale float64) ensemble.Days {
	m := civil.MustParse(median)
	d := ensemble.Days{From: m - 60}
	for i := range 121 {
		d.By = append(d.By, 1/(1+math.Exp(-float64(i-60)/scale)))
	}
	return d
}

func springOf2031() season.Forecast {
	return season.Forecast{
		Swelling: logistic("2031-04-20", 2), Break: logistic("2031-05-06", 1.2), Earliest: logistic("2031-05-04", 1.2),
		Flowering: logistic("2031-05-12", 1.5), Over: logistic("2031-05-30", 1.5),
		Ripe: logistic("2031-07-28", 2), Shed: logistic("2031-08-04", 2),
	}
}

func kolmi() season.Site {
	return season.Site{
		Code: "KOLMI", Season: 2031, LatDeg: 62, LonDeg: 25, Settings: season.Defaults(),
		Trees: []trail.Tree{{Code: "K-001", Short: "T1"}, {Code: "K-002", Short: "T2"}, {Code: "K-003", Short: "T3", Gone: true}},
		Field: []season.Person{{Code: "lead"}, {Code: "deputy"}, {Code: "coord"}},
		Desk:  []season.Person{{Code: "coord"}, {Code: "codep"}},
	}
}

// story plays days through Decide, feeding each outcome to the next day.
type story struct {
	facts season.Facts
}

func begin(f season.Forecast) *story {
	return &story{season.Facts{Site: kolmi(), Forecast: f, Calls: map[call.Task]season.State{}}}
}

// at decides at a local time (UTC+3) of a day; 17:00 is the evening's telling.
func (s *story) at(day, clock string) season.Outcome {
	t, err := time.Parse("2006-01-02 15:04 -0700", day+" "+clock+" +0300")
	if err != nil {
		panic(err)
	}
	s.facts.Day, s.facts.Now, s.facts.Evening = civil.MustParse(day), t, clock == "17:00"
	out := season.Decide(s.facts)
	s.facts.Calls = out.Calls
	return out
}

func (s *story) reports(day, clock string, rs ...trail.Report) {
	t, _ := time.Parse("2006-01-02 15:04 -0700", day+" "+clock+" +0300")
	for _, r := range rs {
		r.Day, r.At, r.ID = civil.MustParse(day), t, int64(len(s.facts.Reports)+1)
		s.facts.Reports = append(s.facts.Reports, r)
	}
}

func bagsOn(tree string, selfing, control int) trail.Report {
	return trail.Report{Kind: trail.BagsOn, Task: string(call.BagOn), Tree: tree, Selfing: selfing, Control: control}
}

func owedOf(out season.Outcome, task call.Task) (who string, standing call.Standing, reason call.Reason) {
	for _, o := range out.Owed {
		if o.Task == task {
			return o.Person, o.Standing, o.Reason
		}
	}
	return "", "", ""
}

// The spring of a lead who answers: each row is a moment, what is reported
// just before it, and how bagging stands and who is told what because of it.
// Expected values follow from the rules in design by hand; no source.
func TestASpringOfBaggingReadsLikeThis(t *testing.T) {
	s := begin(springOf2031())
	for _, row := range []struct {
		day, clock, what string
		before           []trail.Report
		standing         call.Standing
		reason           call.Reason
		told             string
		why              call.Reason
	}{
		{"2031-03-01", "06:10", "winter: nothing is said", nil, call.Quiet, call.FarOff, "", ""},
		{"2031-04-04", "06:10", "two weeks ahead the days are coming", nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-04", "17:00", "and the lead hears of it in the evening", nil, call.Ahead, call.DaysComing, "lead", call.DaysComing},
		{"2031-04-05", "17:00", "but not twice", nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-23", "17:00", "as long as waiting lowers the loss, people wait", nil, call.Ahead, call.DaysComing, "", ""},
		{"2031-04-24", "06:10", "the day before the best day the days have come", nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-24", "17:00", "which is said in the evening", nil, call.Go, call.BestDaysBegin, "lead", call.BestDaysBegin},
		{"2031-04-25", "06:10", "a day is allowed for an answer", nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-25", "17:00", "without one the deputy gets it", nil, call.Go, call.BestDaysBegin, "deputy", call.AnswerOverdue},
		{"2031-04-26", "17:00", "the deputy has promised a day: nobody is told anything", []trail.Report{{Kind: trail.Going, Task: string(call.BagOn), On: civil.MustParse("2031-04-28")}}, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-28", "17:00", "not on the promised day either", nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-29", "06:10", "no report after the promised day: asked about next morning", nil, call.Go, call.BestDaysBegin, "deputy", call.PromisePast},
		{"2031-04-29", "15:10", "but once", nil, call.Go, call.BestDaysBegin, "", ""},
		{"2031-04-29", "18:00", "who can't go passes it on at once", []trail.Report{{Kind: trail.CannotGo, Task: string(call.BagOn)}}, call.Go, call.BestDaysBegin, "coord", call.CannotGo},
		{"2031-04-30", "10:10", "one tree done isn't all", []trail.Report{bagsOn("T1", 2, 1)}, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-01", "15:10", "a tree short of its control isn't done", []trail.Report{bagsOn("T2", 2, 0)}, call.Go, call.BestDaysBegin, "", ""},
		{"2031-05-02", "06:10", "the last two days are said at once", nil, call.Hurry, call.LastDaysBegin, "coord", call.LastDaysBegin},
		{"2031-05-02", "17:00", "when the last in the chain is silent too, nobody is left to ask", nil, call.Hurry, call.LastDaysBegin, "", call.NobodyElseKnown},
		{"2031-05-04", "06:10", "the day after the last day a look decides", nil, call.LookFirst, call.LastDayPast, "coord", call.LastDayPast},
		{"2031-05-04", "16:10", "a later report of the tree corrects the earlier", []trail.Report{bagsOn("T2", 2, 1)}, call.Done, call.Reported, "", ""},
		{"2031-05-20", "17:00", "done stays done", nil, call.Done, call.Reported, "", ""},
	} {
		s.reports(row.day, row.clock, row.before...)
		out := s.at(row.day, row.clock)
		got := out.Calls[call.BagOn]
		who, _, why := owedOf(out, call.BagOn)
		if got.Standing != row.standing || got.Reason != row.reason || who != row.told || why != row.why {
			t.Errorf("%s %s, %s:\n got %q (%s), told %q because %q, days %s, answer by %s\nwant %q (%s), told %q because %q",
				row.day, row.clock, row.what, got.Standing, got.Reason, who, why, got.Days, got.AnswerBy, row.standing, row.reason, row.told, row.why)
		}
		again := season.Decide(s.facts)
		if len(again.Owed) > 0 || !reflect.DeepEqual(again.Calls, out.Calls) {
			t.Errorf("%s %s: deciding again changed something: %v", row.day, row.clock, again.Owed)
		}
	}
}
