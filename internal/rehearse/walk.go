package rehearse

import (
	"cmp"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// walk is a visit of a person of the trial in the words of the program.
type walk struct{ season *Season }

// stagesAsked are the stages that a visit says something of, seen or not yet.
var stagesAsked = []int{Swelling, BudBreak, Flowering, FlowerEnd}

// stages is what a visit says of the site: a stage is seen when at least half
// of the trees that were looked at show it. Only the latest stage seen of each
// series is written down, and the earliest that isn't.
func (w walk) stages(seen []Report, person, task string) []trail.Report {
	if len(seen) == 0 {
		return nil
	}
	share := func(reached func(Report) bool) float64 {
		n := 0
		for _, r := range seen {
			if reached(r) {
				n++
			}
		}
		return float64(n) / float64(len(seen))
	}
	say := func(kind trail.Kind, code int) trail.Report {
		return trail.Report{Person: person, Site: siteCode, Task: task, Kind: kind, BBCH: code, Day: seen[0].Day, Way: "form"}
	}
	var out []trail.Report
	latest, next := 0, 0
	for _, code := range stagesAsked {
		reached := share(func(r Report) bool {
			if code < Flowering {
				return r.Leaf >= code
			}
			return r.Flower >= code
		}) >= 0.5
		switch {
		case reached:
			latest = code
		case next == 0:
			next = code
		}
	}
	if latest != 0 {
		out = append(out, say(trail.StageSeen, latest))
	}
	if next != 0 && next > latest {
		out = append(out, say(trail.NotYet, next))
	}
	return out
}

// do does a task at the trees on a day and gives what is reported of it.
func (w walk) do(task call.Task, standing call.Standing, leave bool, trees []int, day civil.Date, by Person, done []Done) []trail.Report {
	s := w.season
	var seen []Report
	var out []trail.Report
	say := func(r trail.Report) {
		r.Person, r.Site, r.Task, r.Day, r.Way = string(by), siteCode, cmp.Or(r.Task, string(task)), day, "form"
		out = append(out, r)
	}
	green := 0
	for _, i := range trees {
		v := s.Visit(i, day)
		seen = append(seen, v)
		d := &done[i]
		switch task {
		case call.BagOn:
			open, unswollen := v.Leaf >= BudBreak || v.Flower > 0, v.Leaf == 0
			if d.Bagged.IsZero() && !(standing == call.LookFirst && open) && !(leave && unswollen) {
				d.Bagged = day
				say(trail.Report{Kind: trail.BagsOn, Tree: short(i), Selfing: selfingBags, Control: controlBags})
			}
		case call.TakeOff:
			if !d.Bagged.IsZero() && d.Off.IsZero() {
				d.Off = day
				say(trail.Report{Kind: trail.BagsOff, Tree: short(i)})
			}
		case call.PickSeed, call.LookAtSeed: // who looks takes packets along
			switch {
			case !d.Picked.IsZero():
			case v.Shed:
				say(trail.Report{Kind: trail.NothingToPick, Task: string(call.PickSeed), Tree: short(i)})
			case v.Ripe:
				d.Picked = day
				say(trail.Report{Kind: trail.Picked, Task: string(call.PickSeed), Tree: short(i), Selfing: selfingBags, Control: controlBags})
			default:
				green++
			}
		}
	}
	switch task {
	case call.SurveyTrees:
		for _, i := range trees { // every tree of a trial bears catkins
			say(trail.Report{Kind: trail.CatkinsSeen, Tree: short(i)})
		}
	case call.CheckBags: // no bag of a trial tears
		say(trail.Report{Kind: trail.BagsFine})
	case call.LookAtBuds, call.BagOn:
		out = append(w.stages(seen, string(by), string(task)), out...)
	}
	if green > 0 { // of the trees that are left
		say(trail.Report{Kind: trail.SeedGreen})
	}
	return out
}
