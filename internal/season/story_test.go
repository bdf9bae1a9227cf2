package season_test

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// logistic is a distribution with a given median and scale in days; only the
// shape matters to the rules of the calls.
func logistic(median string, scale float64) ensemble.Days {
	return logisticOn(civil.MustParse(median), scale)
}

func logisticOn(median civil.Date, scale float64) ensemble.Days {
	d := ensemble.Days{From: median - 60}
	for i := range 121 {
		d.By = append(d.By, 1/(1+math.Exp(-float64(i-60)/scale)))
	}
	return d
}

// seldom is a distribution that stays below a chance.
func seldom(d ensemble.Days, chance float64) ensemble.Days {
	out := ensemble.Days{From: d.From}
	for _, p := range d.By {
		out.By = append(out.By, p*chance)
	}
	return out
}

// Days of the logistic springs below, by hand from p = 1/(1+exp(-x/scale)):
// p <= 0.10 up to x = -2.2·scale, p >= 0.95 from x = 2.95·scale.
func springOf2031() season.Forecast {
	return season.Forecast{
		Swelling: logistic("2031-04-20", 2), Break: logistic("2031-05-06", 1.2), Earliest: logistic("2031-05-04", 1.2),
		Flowering: logistic("2031-05-12", 1.5), Over: logistic("2031-05-30", 1.5),
		Ripe: logistic("2031-07-28", 2), Shed: logistic("2031-08-04", 2),
	}
}

func kolmi() season.Site {
	return season.Site{
		Code: "KOLMI", Season: 2031, LatDeg: 62, LonDeg: 25, Settings: asWritten(),
		Trees: []trail.Tree{{Code: "K-001", Short: "T1"}, {Code: "K-002", Short: "T2"}, {Code: "K-003", Short: "T3", Gone: true}},
		Field: []season.Person{{Code: "lead"}, {Code: "deputy"}, {Code: "coord"}},
		Desk:  []season.Person{{Code: "coord"}, {Code: "codep"}},
	}
}

// story plays days through Decide, feeding each outcome to the next day.
type story struct {
	facts    season.Facts
	forecast season.Forecast // before what was reported is taken into it
}

func begin(f season.Forecast) *story {
	return &story{forecast: f, facts: season.Facts{
		Site: kolmi(), Calls: map[call.Task]season.State{}, Returned: map[call.Task]time.Time{},
	}}
}

// moment is a local time (UTC+3) of a day.
func moment(day, clock string) time.Time {
	t, err := time.Parse("2006-01-02 15:04 -0700", day+" "+clock+" +0300")
	if err != nil {
		panic(err)
	}
	return t
}

// at decides at a local time of a day; 17:00 is the evening's telling.
func (s *story) at(day, clock string) season.Outcome {
	s.facts.Day, s.facts.Now, s.facts.Evening = civil.MustParse(day), moment(day, clock), clock == "17:00"
	s.facts.Forecast = issued(s.forecast, s.facts.Reports)
	out := season.Decide(s.facts)
	s.facts.Calls = out.Calls
	return out
}

// issued is a forecast with what was reported of the stages taken into it, as
// it comes to the calls.
func issued(f season.Forecast, reports []trail.Report) season.Forecast {
	buds := stage.BoundsOf(reports, stage.BudBreak)
	f.Swelling = stage.Truncate(f.Swelling, stage.BoundsOf(reports, stage.BudSwelling))
	f.Break, f.BreakSeen, f.LastLook = stage.Truncate(f.Break, buds), buds.Seen, buds.NotYet
	f.Earliest = stage.Truncate(f.Earliest, buds)
	f.Flowering = stage.Truncate(f.Flowering, stage.BoundsOf(reports, stage.Flowering))
	f.Over = stage.Truncate(f.Over, stage.BoundsOf(reports, stage.FloweringOver))
	return f
}

// reports gives reports to the story; one that says no day is about today.
func (s *story) reports(day, clock string, rs ...trail.Report) {
	for _, r := range rs {
		if r.Day == 0 {
			r.Day = civil.MustParse(day)
		}
		r.At, r.ID = moment(day, clock), int64(len(s.facts.Reports)+1)
		s.facts.Reports = append(s.facts.Reports, r)
	}
}

func bagsOn(tree string, selfing, control int) trail.Report {
	return trail.Report{Kind: trail.BagsOn, Task: string(call.BagOn), Tree: tree, Selfing: selfing, Control: control}
}

func onTree(kind trail.Kind, tree string) trail.Report { return trail.Report{Kind: kind, Tree: tree} }

func buds(kind trail.Kind) trail.Report {
	return trail.Report{Kind: kind, Task: string(call.BagOn), BBCH: int(stage.BudBreak)}
}

func going(person string, task call.Task, on string) trail.Report {
	return trail.Report{Kind: trail.Going, Task: string(task), Person: person, On: civil.MustParse(on)}
}

func cannot(person string, task call.Task) trail.Report {
	return trail.Report{Kind: trail.CannotGo, Task: string(task), Person: person}
}

// row is a moment of a story: what changes just before it, and how the task
// stands, and who is told what because of it.
type row struct {
	day, clock, what string
	before           []trail.Report
	change           func(*story)
	standing         call.Standing
	reason           call.Reason
	told             string // people, with + between; "nobody" is whoever runs the program
	why              call.Reason
}

// play holds a story to its rows, and each row to its being decided once.
func play(t *testing.T, s *story, task call.Task, rows []row) {
	t.Helper()
	for _, r := range rows {
		if r.change != nil {
			r.change(s)
		}
		s.reports(r.day, r.clock, r.before...)
		out := s.at(r.day, r.clock)
		got := out.Calls[task]
		who, why := toldOf(out, task)
		if got.Standing != r.standing || got.Reason != r.reason || who != r.told || why != r.why {
			t.Errorf("%s %s, %s:\n got %q (%s), told %q because %q, days %s, answer by %s\nwant %q (%s), told %q because %q",
				r.day, r.clock, r.what, got.Standing, got.Reason, who, why, got.Days, got.AnswerBy, r.standing, r.reason, r.told, r.why)
		}
		again := season.Decide(s.facts)
		if len(again.Owed) > 0 || !reflect.DeepEqual(again.Calls, out.Calls) {
			t.Errorf("%s %s: deciding again changed something: %v", r.day, r.clock, again.Owed)
		}
	}
}

// toldOf is who is told of a task, and why the first of them is.
func toldOf(out season.Outcome, task call.Task) (who string, why call.Reason) {
	var people []string
	for _, o := range out.Owed {
		if o.Task != task {
			continue
		}
		if len(people) == 0 {
			why = o.Reason
		}
		people = append(people, map[bool]string{true: "nobody", false: o.Person}[o.Person == ""])
	}
	return strings.Join(people, "+"), why
}

// asWritten is the settings that the stories of these tests were written for:
// those of the season as it was designed. What is shipped was tuned since, by
// rehearsing, and would only move every day of every story.
func asWritten() season.Settings {
	s := season.Defaults()
	s.EarlyPerLost, s.TellAgainAfter, s.TellMovesWithin, s.TakeOffChance = 3, 3, 7, 0.95
	return s
}
