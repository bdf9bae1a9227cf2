package stage

import (
	"slices"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/trail"
)

// Bounds is what visits say of a stage: not yet reached by the end of one day,
// seen on another. Zero is not known.
type Bounds struct {
	NotYet civil.Date
	Seen   civil.Date
}

// Truncate conditions a distribution on what visits say of the stage itself:
//
//	not yet on I:  (F(d) − F(I))/(1 − F(I)) after I, 0 up to I
//	seen on J:     F(d)/F(J) before J, 1 from J on
//	both:          (F(d) − F(I))/(F(J) − F(I)) between, 0 up to I, 1 from J on
//
// Where the forecast gave what was seen no chance at all, the days between are
// equally likely, and without a NotYet it is the day of the visit; where it was
// sure of what was not seen, the day after is certain. Seen on or before NotYet
// contradicts itself: Seen wins. An empty distribution stays empty.
func Truncate(d ensemble.Days, b Bounds) ensemble.Days {
	if len(d.By) == 0 || b == (Bounds{}) {
		return d
	}
	if b.Seen != 0 && b.NotYet >= b.Seen {
		b.NotYet = b.Seen - 1
	}
	lo, hi := 0.0, 1.0
	if b.NotYet != 0 {
		lo = d.On(b.NotYet)
	}
	if b.Seen != 0 {
		hi = d.On(b.Seen)
	}
	out := ensemble.Days{From: min(d.From, seenOr(b, d.From))}
	last := max(d.From+civil.Date(len(d.By))-1, b.Seen, b.NotYet+1)
	for day := out.From; day <= last; day++ {
		out.By = append(out.By, within(d, b, day, lo, hi))
	}
	return out
}

func seenOr(b Bounds, from civil.Date) civil.Date {
	if b.Seen != 0 {
		return b.Seen
	}
	return from
}

// leastChance is the chance below which a forecast counts as surprised.
const leastChance = 1e-9

func within(d ensemble.Days, b Bounds, day civil.Date, lo, hi float64) float64 {
	switch {
	case b.Seen != 0 && day >= b.Seen:
		return 1
	case b.NotYet != 0 && day <= b.NotYet:
		return 0
	case hi-lo > leastChance:
		return min(1, max(0, (d.On(day)-lo)/(hi-lo)))
	case b.Seen != 0 && b.NotYet != 0:
		return float64(day-b.NotYet) / float64(b.Seen-b.NotYet)
	case b.NotYet != 0:
		return 1
	}
	return 0
}

// order is which stages of a birch come before which: each is reached after
// the ones listed with it. The leaf series (01 07 11) and the flower series
// (60 65 69 89) run in parallel; flowering doesn't begin before bud break.
var order = map[BBCH][]BBCH{
	BudBreak:       {BudSwelling},
	LeavesUnfolded: {BudSwelling, BudBreak},
	Flowering:      {BudSwelling, BudBreak},
	FullFlowering:  {BudSwelling, BudBreak, Flowering},
	FloweringOver:  {BudSwelling, BudBreak, Flowering, FullFlowering},
	SeedRipe:       {BudSwelling, BudBreak, Flowering, FullFlowering, FloweringOver},
}

// BoundsOf gives what a season's reports say of a stage: the earliest sight of
// it or of a stage that comes after it, and the latest visit before that which
// found it, or a stage that comes before it, not yet there. Who saw a stage and
// said nothing of one that comes after it didn't see that one. A report that a
// later one contradicts counts for nothing, unless that one is itself
// corrected. Later is what reached us later, and of one moment what stands
// later in reports.
func BoundsOf(reports []trail.Report, code BBCH) Bounds {
	var b Bounds
	kept := standing(reports)
	for _, r := range kept {
		of := BBCH(r.BBCH)
		switch {
		case r.Kind == trail.StageSeen && implies(of, code) && (b.Seen == 0 || r.Day < b.Seen):
			b.Seen = r.Day
		case r.Kind == trail.NotYet && implies(code, of):
			b.NotYet = max(b.NotYet, r.Day)
		}
	}
	b.NotYet = max(b.NotYet, unsaid(kept, code, b.Seen))
	return b
}

// said is what the standing reports say of the stage itself.
func said(kept []trail.Report, code BBCH) (b Bounds) {
	for _, r := range kept {
		switch {
		case BBCH(r.BBCH) != code:
		case r.Kind == trail.StageSeen && (b.Seen == 0 || r.Day < b.Seen):
			b.Seen = r.Day
		case r.Kind == trail.NotYet:
			b.NotYet = max(b.NotYet, r.Day)
		}
	}
	b.NotYet = max(b.NotYet, unsaid(kept, code, b.Seen))
	return b
}

// unsaid is the last day on which a stage that comes before was seen and
// nothing was said of this one, which was seen later if at all.
func unsaid(kept []trail.Report, code BBCH, seen civil.Date) (day civil.Date) {
	for _, r := range kept {
		if of := BBCH(r.BBCH); r.Kind == trail.StageSeen && of != code && implies(code, of) && (seen == 0 || r.Day < seen) {
			day = max(day, r.Day)
		}
	}
	return day
}

// standing gives the reports of stages that no later one corrects, latest
// first.
func standing(reports []trail.Report) []trail.Report {
	came := slices.Clone(reports)
	slices.SortStableFunc(came, func(a, b trail.Report) int { return a.At.Compare(b.At) })
	var kept []trail.Report
	for _, r := range slices.Backward(came) {
		corrected := func(later trail.Report) bool { return contradict(r, later) || contradict(later, r) }
		ofSite := r.Tree == "" // what is said of one tree says nothing of the others
		if ofSite && (r.Kind == trail.StageSeen || r.Kind == trail.NotYet) && !slices.ContainsFunc(kept, corrected) {
			kept = append(kept, r)
		}
	}
	return kept
}

// contradict reports whether one stage was seen although it, or one that comes
// before it, was found not yet there on that day or later.
func contradict(seen, notYet trail.Report) bool {
	return seen.Kind == trail.StageSeen && notYet.Kind == trail.NotYet && seen.Day <= notYet.Day &&
		implies(BBCH(seen.BBCH), BBCH(notYet.BBCH))
}

// implies reports whether a plant that has reached one stage has reached the
// other.
func implies(one, other BBCH) bool { return one == other || slices.Contains(order[one], other) }
