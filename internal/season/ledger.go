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
	on        map[string]trail.Report   // last report of bags put on, by tree
	torn      map[string][]trail.Report // bags torn since then, by tree
	off       map[string]bool
	looked    map[string]civil.Date // latest day on which a tree's bags were seen, by tree
	visited   civil.Date            // latest day on which anybody saw bags at the site
	picked    map[string]bool       // or nothing was there to pick
	lots      map[string]civil.Date // day of the last packets picked, by tree
	received  map[string]bool
	bears     map[string]bool // whether a tree bears catkins, by tree, where that was said
	greenTips map[string]bool // trees on which green tips were seen, and that are left therefore
	budsOn    civil.Date      // latest day on which buds were looked at
	brown     civil.Date      // first day on which seed was reported brown, unless found green on that day or later
	green     civil.Date      // latest day on which seed was reported green
	seedAt    civil.Date      // latest day on which there was seed to be seen, brown or green
	seedLook  bool
	nothing   bool
	away      map[string][]civil.Range     // absences as answered, by person
	answers   map[call.Task][]trail.Report // the latest answer of each person to each call, in the order in which they came
	acted     map[call.Task]trail.Report   // the latest report on each call
	hang      []trail.Tree                 // living trees with at least one bag on
	flowering civil.Date                   // day on which flowering is taken to begin, so that bags torn earlier must be replaced; zero: not known
	differ    [][2]trail.Report            // of one day by two people, that can't both be; looked for in the evening
	unlike    [][2]trail.Report            // packets picked of a tree and those that came, where they differ; looked for in the evening
	confirmed bool                         // the coordinator has understood that the season is short
}

func add(reports []trail.Report, trees []trail.Tree) *ledger {
	l := &ledger{
		on: map[string]trail.Report{}, torn: map[string][]trail.Report{}, off: map[string]bool{}, looked: map[string]civil.Date{},
		picked: map[string]bool{}, lots: map[string]civil.Date{}, received: map[string]bool{},
		bears: map[string]bool{}, greenTips: map[string]bool{}, away: map[string][]civil.Range{},
		answers: map[call.Task][]trail.Report{}, acted: map[call.Task]trail.Report{},
	}
	for _, r := range reports {
		switch task := taskOf(r); {
		case r.Kind.Answer():
			l.answer(task, r)
		case r.Kind == trail.Problem: // tells nothing of the call, but somebody is at it
			l.acted[task] = r
		default:
			l.acted[task] = r
			for _, of := range spread(r, trees) {
				l.take(of)
			}
		}
	}
	return l
}

// spread gives a report that is said of the site as a whole for each tree,
// where it is of trees.
func spread(r trail.Report, trees []trail.Tree) []trail.Report {
	switch r.Kind {
	case trail.BagsFine, trail.BagsOff, trail.NoCatkins, trail.CatkinsSeen, trail.LotReceived:
	default:
		return []trail.Report{r}
	}
	if r.Tree != "" {
		return []trail.Report{r}
	}
	out := make([]trail.Report, 0, len(trees))
	for _, t := range trees {
		of := r
		of.Tree = t.Short
		out = append(out, of)
	}
	return out
}

// answer books an answer in place of an earlier one of the same person. An
// absence is the person's, whichever call it answers; a later one takes the
// place of those that it overlaps.
func (l *ledger) answer(task call.Task, r trail.Report) {
	if r.Kind == trail.Away {
		days := civil.Range{First: r.On, Last: r.Until}
		others := slices.DeleteFunc(l.away[r.Person], func(d civil.Range) bool { return d.First <= days.Last && days.First <= d.Last })
		l.away[r.Person] = append(others, days)
	}
	others := slices.DeleteFunc(l.answers[task], func(a trail.Report) bool { return a.Person == r.Person })
	l.answers[task] = append(others, r)
}

func (l *ledger) take(r trail.Report) {
	switch r.Kind {
	case trail.KitArrived:
		l.kit = true
	case trail.BagsOn:
		l.on[r.Tree] = r
		delete(l.torn, r.Tree)
		l.seen(r)
	case trail.BagsFine:
		l.seen(r)
	case trail.BagsTorn:
		l.torn[r.Tree] = append(l.torn[r.Tree], r)
		l.seen(r)
	case trail.BagsOff:
		// What is off before it is on was never meant for these bags.
		l.off[r.Tree] = l.off[r.Tree] || r.Day >= l.on[r.Tree].Day
	case trail.CatkinsSeen, trail.NoCatkins:
		l.bears[r.Tree] = r.Kind == trail.CatkinsSeen
	case trail.StageSeen, trail.NotYet:
		l.buds(r)
	case trail.LotReceived:
		l.received[r.Tree] = true
	case trail.Understood:
		l.confirmed = true
	default:
		l.seed(r)
	}
}

// seen books that a tree's bags were seen.
func (l *ledger) seen(r trail.Report) {
	l.looked[r.Tree] = max(l.looked[r.Tree], r.Day)
	l.visited = max(l.visited, r.Day)
}

// buds books what was seen of stages. Of a single tree only green tips matter,
// until a look finds them closed after all.
func (l *ledger) buds(r trail.Report) {
	leaf := stage.BBCH(r.BBCH) <= stage.BudBreak
	if r.Tree != "" {
		l.greenTips[r.Tree] = r.Kind == trail.StageSeen && stage.BBCH(r.BBCH) >= stage.BudBreak || l.greenTips[r.Tree] && !leaf
		return
	}
	if leaf || r.Kind == trail.StageSeen {
		l.budsOn = max(l.budsOn, r.Day)
	}
}

// seed books what was seen of the seed, and what was picked.
func (l *ledger) seed(r trail.Report) {
	switch r.Kind {
	case trail.Picked:
		l.picked[r.Tree], l.lots[r.Tree] = true, max(l.lots[r.Tree], r.Day)
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
	}
}

// taskOf is the call that a report belongs to, by what it says where it names none.
func taskOf(r trail.Report) call.Task {
	if r.Task != "" {
		return call.Task(r.Task)
	}
	switch r.Kind {
	case trail.CatkinsSeen, trail.NoCatkins:
		return call.SurveyTrees
	case trail.KitArrived:
		return call.SendKit
	case trail.BagsFine, trail.BagsTorn:
		return call.CheckBags
	case trail.BagsOff:
		return call.TakeOff
	case trail.SeedBrown, trail.SeedGreen:
		return call.LookAtSeed
	case trail.Picked, trail.NothingToPick:
		return call.PickSeed
	case trail.LotReceived:
		return call.LotExpected
	case trail.Understood:
		return call.ShortSeason
	}
	return call.BagOn
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
