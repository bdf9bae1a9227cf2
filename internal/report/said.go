package report

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/trail"
)

// said turns a clause into reports: one for each tree, or for each site that
// it may be about.
func (r *reader) said(c clause) ([]trail.Report, Why) {
	refs := c.trees
	if len(refs) == 0 {
		if c.bags || c.means.about == treeOnly {
			return nil, NotUnderstood
		}
		sites := r.scope.sites[:r.scope.own]
		if c.site >= 0 {
			sites = r.scope.sites[c.site : c.site+1]
		}
		if len(sites) > 1 && !c.means.kind.Answer() {
			return nil, UnclearTree
		}
		for _, s := range sites {
			refs = append(refs, treeRef{site: s.Code})
		}
	} else if !c.bags && c.means.about == siteOnly {
		return nil, NotUnderstood
	}
	if c.day > r.written {
		return nil, FutureDay
	}
	if len(refs) == 0 {
		return nil, UnclearTree
	}
	var list []trail.Report
	for _, ref := range refs {
		one, why := r.one(c, ref)
		if why != "" {
			return nil, why
		}
		list = append(list, one)
	}
	return list, ""
}

// one is what a clause says of one tree or site.
func (r *reader) one(c clause, ref treeRef) (trail.Report, Why) {
	tasks := r.scope.asked[ref.site]
	rep := trail.Report{Site: ref.site, Tree: ref.tree.Short, Day: c.day, Kind: c.means.kind, BBCH: c.means.bbch}
	if rep.Day == 0 {
		rep.Day = r.written
	}
	if c.bags {
		kind, why := countOf(tasks)
		if why != "" {
			return rep, why
		}
		rep.Kind, rep.Selfing, rep.Control = kind, c.nums[0], c.nums[1]
	} else if !r.fits(rep.Kind, ref, tasks) {
		return rep, NotThisCall
	}
	switch rep.Kind {
	case trail.Going:
		rep.On = c.on.First
	case trail.Away:
		rep.On, rep.Until = c.on.First, c.on.Last
	}
	rep.Task = string(taskOf(rep.Kind, tasks))
	return rep, ""
}

// countOf tells what a bare count counts in answer to tasks: bags, packets
// picked or lots received. In answer to anything else nobody guesses.
func countOf(tasks []call.Task) (trail.Kind, Why) {
	kinds := map[call.Task]trail.Kind{
		call.BagOn: trail.BagsOn, call.LookAtBuds: trail.BagsOn, call.PickSeed: trail.Picked, call.LotExpected: trail.LotReceived,
	}
	if len(tasks) == 0 {
		return trail.BagsOn, ""
	}
	kind := trail.Kind("")
	for _, t := range tasks {
		k, ok := kinds[t]
		if !ok || kind != "" && kind != k {
			return "", NotThisCall
		}
		kind = k
	}
	return kind, ""
}

// fits reports whether a word can be meant in answer to the tasks: "off" for
// bags that were never reported on, "green" for buds and "seen" from anybody
// but the coordinator are asked about.
func (r *reader) fits(k trail.Kind, ref treeRef, tasks []call.Task) bool {
	if len(tasks) == 0 {
		return true
	}
	only := func(of ...call.Task) bool {
		return !slices.ContainsFunc(tasks, func(t call.Task) bool { return !slices.Contains(of, t) })
	}
	switch k {
	case trail.BagsOff:
		return !only(call.BagOn, call.LookAtBuds, call.SurveyTrees, call.SendKit) || r.hangs(ref)
	case trail.SeedGreen:
		return !only(call.BagOn, call.LookAtBuds, call.SurveyTrees, call.SendKit)
	case trail.Understood:
		return slices.Contains(tasks, call.ShortSeason)
	case trail.LotReceived:
		return slices.Contains(tasks, call.LotExpected)
	}
	return true
}

// hangs reports whether bags were reported on a tree, or on any of the site.
func (r *reader) hangs(ref treeRef) bool {
	bagged := r.scope.sites[r.scope.siteCode[fold(ref.site)]].Bagged
	if ref.tree.Short == "" {
		return len(bagged) > 0
	}
	return bagged[ref.tree.Short]
}

// taskOf gives the task that a report belongs to: the one asked, or among
// several the one whose kind it is.
func taskOf(k trail.Kind, tasks []call.Task) call.Task {
	if len(tasks) == 0 {
		return ""
	}
	ends := map[trail.Kind]call.Task{
		trail.BagsOn: call.BagOn, trail.BagsOff: call.TakeOff, trail.BagsFine: call.CheckBags, trail.BagsTorn: call.CheckBags,
		trail.Picked: call.PickSeed, trail.NothingToPick: call.PickSeed, trail.SeedBrown: call.LookAtSeed, trail.SeedGreen: call.LookAtSeed,
		trail.StageSeen: call.LookAtBuds, trail.NotYet: call.LookAtBuds, trail.CatkinsSeen: call.SurveyTrees, trail.NoCatkins: call.SurveyTrees,
		trail.KitArrived: call.SendKit, trail.LotReceived: call.LotExpected, trail.Understood: call.ShortSeason,
	}
	if t, ok := ends[k]; ok && slices.Contains(tasks, t) {
		return t
	}
	return tasks[0]
}
