package season

import (
	"maps"
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// raise asks the coordinator, in the evening and once each, about problems that
// were reported on the task, about reports of it by two people that can't both
// be, about packets that came otherwise than they were picked, and about work
// reported of a day on which it can hardly have been right. All are kept; meanwhile the later one counts.
func (v view) raise(next State, owed []Owed) (State, []Owed) {
	if !v.Evening {
		return next, owed
	}
	var reason call.Reason
	var about []int64
	newest := next.Raised
	collect := func(pairs [][2]trail.Report, why call.Reason) {
		for _, pair := range pairs {
			if last := max(pair[0].ID, pair[1].ID); last > next.Raised && taskOf(pair[1]) == v.task {
				reason, newest = why, max(newest, last)
				about = append(about, pair[0].ID, pair[1].ID)
			}
		}
	}
	collect(v.ledger.unlike, call.PacketsDiffer)
	collect(v.ledger.differ, call.ReportsDiffer)
	for _, r := range v.Reports {
		if r.ID <= next.Raised || taskOf(r) != v.task {
			continue
		}
		why := call.ProblemReported
		switch {
		case r.Kind == trail.Problem:
		case v.early(r):
			why = call.ReportedEarly
		default:
			continue
		}
		newest, about = max(newest, r.ID), append(about, r.ID)
		if reason == "" {
			reason = why
		}
	}
	if reason == "" {
		return next, owed
	}
	person := ""
	if len(v.Site.Desk) > 0 {
		person = v.Site.Desk[0].Code
	}
	next.Raised, next.Serial = newest, next.Serial+1
	return next, append(owed, Owed{Task: v.task, Standing: next.Standing, Reason: reason, Person: person, Serial: next.Serial, About: about})
}

// How early is too early for what a report says: our assumption.
const (
	bagsLongBefore = 14   // days before which buds hardly swell
	tooSoon        = 0.02 // chance that the stage has come by then
	pollenFlies    = 0.10 // chance that nothing sheds pollen any more
)

// early tells whether bags were put on long before anything swells, or when the
// tree's seed had been picked, taken off while pollen surely flew, or seed was
// picked long before it can be ripe.
func (v view) early(r trail.Report) bool {
	f := v.Forecast
	before := func(d ensemble.Days, day civil.Date, chance float64) bool {
		if day < d.From { // it may tell nothing of days past
			day = max(v.Day, d.From)
		}
		return len(d.By) > 0 && d.On(day) < chance
	}
	switch r.Kind {
	case trail.BagsOn:
		picked, ok := v.ledger.lots[r.Tree]
		return r.Selfing+r.Control > 0 && (before(f.Swelling, r.Day+bagsLongBefore, tooSoon) || ok && r.Day >= picked)
	case trail.BagsOff:
		return before(f.Over, r.Day, pollenFlies)
	case trail.Picked:
		return v.ledger.brown == 0 && before(f.Ripe, r.Day, tooSoon)
	}
	return false
}

// unlike lists what was last reported picked of a tree with what was last
// reported of it as received, where the packets were counted and differ, in the
// order of the trees' names.
func unlike(reports []trail.Report) (pairs [][2]trail.Report) {
	picked, came := map[string]trail.Report{}, map[string]trail.Report{}
	for _, r := range reports {
		switch {
		case r.Tree == "":
		case r.Kind == trail.Picked, r.Kind == trail.NothingToPick:
			picked[r.Tree] = r
		case r.Kind == trail.LotReceived && r.Selfing+r.Control > 0:
			came[r.Tree] = r
		}
	}
	for _, tree := range slices.Sorted(maps.Keys(came)) {
		p, known := picked[tree]
		if c := came[tree]; known && (p.Selfing != c.Selfing || p.Control != c.Control) {
			pairs = append(pairs, [2]trail.Report{p, c})
		}
	}
	return pairs
}

// subject is what a person says of a day, so that a later word of the same
// person on it corrects the earlier.
type subject struct {
	person string
	day    civil.Date
	about  string
	tree   string
	bbch   int
}

// subjectOf gives what a report is about; ok is false where two people can't
// contradict each other on it.
func subjectOf(r trail.Report) (s subject, ok bool) {
	s = subject{person: r.Person, day: r.Day, tree: r.Tree, bbch: r.BBCH}
	switch r.Kind {
	case trail.StageSeen, trail.NotYet:
		s.about = "stage"
	case trail.BagsOn:
		s.about = "bags on"
	case trail.BagsFine, trail.BagsTorn:
		s.about = "bags"
	case trail.CatkinsSeen, trail.NoCatkins:
		s.about = "catkins"
	case trail.Picked, trail.NothingToPick:
		s.about = "seed"
	}
	return s, s.about != ""
}

// differing lists the pairs of reports by two people that can't both be, of one
// day, or of a stage that was seen and on a later day not yet, in the order in
// which they came.
func differing(reports []trail.Report) (pairs [][2]trail.Report) {
	last := map[subject]int{}
	for i, r := range reports {
		if s, ok := subjectOf(r); ok {
			last[s] = i
		}
	}
	for i, b := range reports {
		of, ok := subjectOf(b)
		if !ok || last[of] != i {
			continue
		}
		for j, a := range reports[:i] {
			if a.Person == b.Person || a.Day != b.Day && !undone(a, b) {
				continue
			}
			with, ok := subjectOf(a)
			if ok && last[with] == j && with.about == of.about && differ(a, b) {
				pairs = append(pairs, [2]trail.Report{a, b})
			}
		}
	}
	return pairs
}

// undone tells whether of two reports the one of the later day says "not yet"
// where the other may have said "seen".
func undone(a, b trail.Report) bool {
	if a.Day > b.Day {
		a, b = b, a
	}
	return a.Kind == trail.StageSeen && b.Kind == trail.NotYet
}

// differ tells whether two reports can't both be.
func differ(a, b trail.Report) bool {
	if a.Tree != b.Tree && a.Tree != "" && b.Tree != "" {
		return false
	}
	switch {
	case a.Kind == trail.StageSeen && b.Kind == trail.NotYet:
		return a.Tree == b.Tree && implies(a, b)
	case a.Kind == trail.NotYet && b.Kind == trail.StageSeen:
		return a.Tree == b.Tree && implies(b, a)
	case a.Kind == trail.BagsOn:
		return (a.Selfing+a.Control == 0) != (b.Selfing+b.Control == 0)
	}
	return a.Kind != b.Kind && a.Kind != trail.StageSeen && a.Kind != trail.NotYet
}

// implies tells whether who has seen one stage must have found another reached.
func implies(seen, other trail.Report) bool {
	seen.Tree = ""
	return stage.BoundsOf([]trail.Report{seen}, stage.BBCH(other.BBCH)).Seen != 0
}
