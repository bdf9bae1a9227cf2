package season

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// ledger is what the reports of a season add up to.
type ledger struct {
	kit       bool
	on        map[string]trail.Report // last report of bags put on, by tree
	off       map[string]bool
	picked    map[string]bool
	brown     civil.Date // first day on which seed was reported brown, unless found green on that day or later
	green     civil.Date // latest day on which seed was reported green
	seedAt    civil.Date // latest day on which there was seed to be seen, brown or green
	seedLook  bool
	nothing   bool
	answers   map[call.Task][]trail.Report // the latest answer of each person to each call, in the order in which they came
	acted     map[call.Task]trail.Report   // the latest report on each call
	hang      []trail.Tree                 // living trees with at least one bag on
	confirmed bool                         // the coordinator has understood that the season is short
}

func add(reports []trail.Report) *ledger {
	l := &ledger{
		on: map[string]trail.Report{}, off: map[string]bool{}, picked: map[string]bool{},
		answers: map[call.Task][]trail.Report{}, acted: map[call.Task]trail.Report{},
	}
	for _, r := range reports {
		task := taskOf(r)
		if r.Kind.Answer() {
			l.answer(task, r)
			continue
		}
		l.acted[task] = r
		l.take(r)
	}
	return l
}

// answer books an answer in place of an earlier one of the same person.
func (l *ledger) answer(task call.Task, r trail.Report) {
	others := slices.DeleteFunc(l.answers[task], func(a trail.Report) bool { return a.Person == r.Person })
	l.answers[task] = append(others, r)
}

func (l *ledger) take(r trail.Report) {
	switch r.Kind {
	case trail.KitArrived:
		l.kit = true
	case trail.BagsOn:
		l.on[r.Tree] = r
	case trail.BagsOff:
		// What is off before it is on was never meant for these bags.
		l.off[r.Tree] = l.off[r.Tree] || r.Day >= l.on[r.Tree].Day
	case trail.Picked:
		l.picked[r.Tree] = true
	case trail.NothingToPick:
		if r.Tree == "" {
			l.nothing = true
		} else {
			l.picked[r.Tree] = true
		}
	case trail.SeedBrown:
		l.seedLook, l.seedAt = true, max(l.seedAt, r.Day)
		if l.brown == 0 || r.Day < l.brown {
			l.brown = r.Day
		}
	case trail.SeedGreen:
		l.seedLook, l.seedAt, l.green = true, max(l.seedAt, r.Day), max(l.green, r.Day)
		if r.Day >= l.brown {
			l.brown = 0
		}
	case trail.Understood:
		l.confirmed = true
	}
}

// taskOf is the call that a report belongs to, by what it says where it names none.
func taskOf(r trail.Report) call.Task {
	if r.Task != "" {
		return call.Task(r.Task)
	}
	switch r.Kind {
	case trail.KitArrived:
		return call.SendKit
	case trail.BagsOff:
		return call.TakeOff
	case trail.SeedBrown, trail.SeedGreen:
		return call.LookAtSeed
	case trail.Picked, trail.NothingToPick:
		return call.PickSeed
	case trail.Understood:
		return call.ShortSeason
	}
	return call.BagOn
}

// bagged lists the living trees with at least one bag on.
func (l *ledger) bagged(trees []trail.Tree) (some []trail.Tree) {
	for _, t := range trees {
		if r := l.on[t.Short]; !t.Gone && r.Selfing+r.Control > 0 {
			some = append(some, t)
		}
	}
	return some
}

// Need is what a tree still needs, or has, in bags.
type Need struct {
	Tree             trail.Tree
	Selfing, Control int
}

// Needs gives, for a task, the trees on which something is still to be done:
// bags still to put on, or the bags hanging on the trees to take off or pick.
func Needs(task call.Task, trees []trail.Tree, s Settings, reports []trail.Report) []Need {
	return add(reports).needs(task, Site{Trees: trees, Settings: s})
}

func (l *ledger) needs(task call.Task, site Site) []Need {
	var needs []Need
	s := site.Settings
	for _, t := range site.Trees {
		on := l.on[t.Short]
		n := Need{Tree: t, Selfing: on.Selfing, Control: on.Control}
		switch {
		case t.Gone:
			continue
		case task == call.BagOn:
			n.Selfing, n.Control = max(0, s.MinSelfing-on.Selfing), max(0, s.MinControl-on.Control)
		case task == call.TakeOff && l.off[t.Short], task == call.PickSeed && l.picked[t.Short]:
			continue
		}
		if n.Selfing+n.Control > 0 {
			needs = append(needs, n)
		}
	}
	return needs
}

// heard gives the forecast with what looks at the seed say: seed that is there
// is not shed, green isn't ripe and brown is. What ripens late sheds late, so
// both move the shedding too.
func (f Forecast) heard(l *ledger) Forecast {
	looks := stage.Bounds{NotYet: l.green, Seen: l.brown}
	f.Shed = stage.Truncate(stage.Follow(f.Shed, f.Ripe, looks), stage.Bounds{NotYet: l.seedAt})
	f.Ripe = stage.Truncate(f.Ripe, looks)
	return f
}
