package season

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// bearing gives the trees, those that bear no catkins this year marked as if
// they were gone, since nothing is asked of them either. A tree with bags on
// bears some, whatever was said.
func (l *ledger) bearing(trees []trail.Tree) []trail.Tree {
	out := make([]trail.Tree, 0, len(trees))
	for _, t := range trees {
		on := l.on[t.Short]
		if bears, said := l.bears[t.Short]; said && !bears && on.Selfing+on.Control == 0 {
			t.Gone = true
		}
		out = append(out, t)
	}
	return out
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

// tornBefore counts a tree's bags that were torn before flowering began, and so
// must be replaced. Where it wasn't said how many, all of them count.
func (l *ledger) tornBefore(short string) (selfing, control int) {
	on := l.on[short]
	for _, r := range l.torn[short] {
		switch {
		case l.flowering != 0 && r.Day >= l.flowering:
		case r.Selfing+r.Control == 0:
			return on.Selfing, on.Control
		default:
			selfing, control = min(on.Selfing, selfing+r.Selfing), min(on.Control, control+r.Control)
		}
	}
	return selfing, control
}

// doubtful is the first day on which one of a tree's bags was found torn when
// flowering had begun: foreign pollen may be in it since. Zero: none was.
func (l *ledger) doubtful(short string) (since civil.Date) {
	for _, r := range l.torn[short] {
		if l.flowering != 0 && r.Day >= l.flowering && (since == 0 || r.Day < since) {
			since = r.Day
		}
	}
	return since
}

// Stock is what Needs counts from.
type Stock struct {
	Trees     []trail.Tree
	Settings  Settings
	Reports   []trail.Report // in the order in which they came
	Flowering civil.Date     // day on which flowering began or is expected to; zero: not known
}

// Need is what a tree still needs, or has, in bags.
type Need struct {
	Tree             trail.Tree
	Selfing, Control int
	OnSelfing        int // sound bags that hang already, where bags are to be put on
	OnControl        int
	DoubtfulSince    civil.Date // a bag was found torn on this day, after flowering had begun; zero: none
}

// Needs gives, for a task, the trees on which something is still to be done:
// trees to survey (with no counts), bags still to put on, the bags hanging on
// the trees to check, take off or pick, or the packets that the laboratory
// still misses (with the counts that were picked).
func Needs(task call.Task, s Stock) []Need {
	l := add(s.Reports, s.Trees)
	l.flowering = s.Flowering
	if task == call.SurveyTrees {
		return l.unsurveyed(s.Trees)
	}
	if task == call.LotExpected {
		return l.missing(s.Trees, s.Reports)
	}
	return l.needs(task, l.bearing(s.Trees), s.Settings)
}

func (l *ledger) needs(task call.Task, trees []trail.Tree, s Settings) []Need {
	var needs []Need
	for _, t := range trees {
		on := l.on[t.Short]
		n := Need{Tree: t, Selfing: on.Selfing, Control: on.Control, DoubtfulSince: l.doubtful(t.Short)}
		switch {
		case t.Gone:
			continue
		case task == call.BagOn && l.greenTips[t.Short]: // left for this year
			continue
		case task == call.BagOn:
			tornS, tornC := l.tornBefore(t.Short)
			n.OnSelfing, n.OnControl = on.Selfing-tornS, on.Control-tornC
			n.Selfing, n.Control = max(0, s.MinSelfing-n.OnSelfing), max(0, s.MinControl-n.OnControl)
		case (task == call.TakeOff || task == call.CheckBags) && l.off[t.Short], task == call.PickSeed && l.picked[t.Short]:
			continue
		}
		if n.Selfing+n.Control > 0 {
			needs = append(needs, n)
		}
	}
	return needs
}

// unsurveyed lists the living trees of which nobody has said whether they bear
// catkins.
func (l *ledger) unsurveyed(trees []trail.Tree) (needs []Need) {
	for _, t := range living(trees) {
		if _, said := l.bears[t.Short]; !said {
			needs = append(needs, Need{Tree: t})
		}
	}
	return needs
}

// missing lists the trees whose packets were picked and not received.
func (l *ledger) missing(trees []trail.Tree, reports []trail.Report) (needs []Need) {
	for _, t := range trees {
		if l.lots[t.Short] == 0 || l.received[t.Short] {
			continue
		}
		n := Need{Tree: t, DoubtfulSince: l.doubtful(t.Short)}
		for _, r := range reports {
			if r.Kind == trail.Picked && r.Tree == t.Short {
				n.Selfing, n.Control = r.Selfing, r.Control
			}
		}
		needs = append(needs, n)
	}
	return needs
}

// replacing tells whether all that is missing are bags that were torn before
// flowering: buds may have broken since, but until flowering a new bag keeps
// foreign pollen out.
func (v view) replacing() bool {
	needs := v.ledger.needs(call.BagOn, v.Site.Trees, v.Site.Settings)
	for _, n := range needs {
		on := v.ledger.on[n.Tree.Short]
		if on.Selfing < v.Site.Settings.MinSelfing || on.Control < v.Site.Settings.MinControl {
			return false
		}
	}
	return len(needs) > 0
}
