package demo

import (
	"fmt"
	"slices"

	"budcall/internal/call"
	"budcall/internal/postgres"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// outcome is a season that was played, as far as it is judged.
type outcome struct {
	sites    []*record
	truths   map[string]truth
	odd      oddities
	mails    int // that the sink has
	sent     int // that the program says it sent
	reports  int
	events   int      // that the webhook has, verified
	messages int      // that the program says it sent there
	answers  int      // of the forecast service
	troubles []string // what the forecast service refused
}

// missed gives, in words, everything in which a season is not as it must be:
// this is all that the exit status rests on.
//
// Of every site: the kit arrived; every living tree got its bags, before its
// buds broke; all of them came off, not before the days told; seed was looked
// at; where summer was long enough every bagged tree was picked, ripe, and
// where it wasn't the coordinator was told in time and nothing was picked.
// Every call that asked somebody has ended, by a report or overtaken by one.
// Of the season: what the program counts as sent has arrived, each person's
// oddity was met by passing on, and nobody was asked impolitely.
func (o outcome) missed() (list []string) {
	miss := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	for _, r := range o.sites {
		for _, what := range o.siteMissed(r) {
			miss("%s: %s", r.site.Code, what)
		}
	}
	if o.mails != o.sent || o.mails == 0 {
		miss("%d mails arrived, but %d were counted as sent", o.mails, o.sent)
	}
	if o.events != o.messages || o.events == 0 {
		miss("%d messages to the webhook arrived, but %d were counted as sent", o.events, o.messages)
	}
	for _, x := range []struct {
		task
		reason call.Reason
	}{{o.odd.silent, call.AnswerOverdue}, {o.odd.cannot, call.CannotGo}} {
		if !o.passedOn(x.task, x.reason) {
			miss("%s: %q was not passed on (%s)", x.site, x.call, x.reason)
		}
	}
	if o.answers == 0 {
		miss("the forecast service was never asked")
	}
	for _, why := range o.troubles {
		miss("the forecast service refused a question: %s", why)
	}
	return list
}

func (o outcome) passedOn(t task, why call.Reason) bool {
	return slices.ContainsFunc(o.sites, func(r *record) bool {
		return r.site.Code == t.site && slices.ContainsFunc(r.tellings, func(x telling) bool { return x.call == t.call }) &&
			slices.ContainsFunc(r.told, func(x postgres.Told) bool { return x.Task == t.call && x.Reason == why })
	})
}

func (o outcome) siteMissed(r *record) (list []string) {
	t, end := o.truths[r.site.Code], r.site.Settings.SeasonEnd.In(seasonYear)
	if r.letters == 0 || len(r.reported()) == 0 {
		list = append(list, "no mail or no report")
	}
	list = append(list, r.bagsMissed(t)...)
	list = append(list, o.looksMissed(r)...)
	for _, c := range []call.Task{call.SendKit, call.TakeOff} {
		if s := r.calls[c]; s.Standing != call.Done {
			list = append(list, fmt.Sprintf("%q ended as %q (%s)", c, s.Standing, s.Reason))
		}
	}
	for _, day := range r.daysOf(trail.BagsOff) {
		if first := r.firstDays(call.TakeOff).First; day < first || first == 0 {
			list = append(list, fmt.Sprintf("bags came off on %s, before the days told (from %s)", day, first))
		}
	}
	for _, c := range call.Tasks {
		if s := r.calls[c]; len(s.Asked) > 0 && !s.Standing.Ended() {
			list = append(list, fmt.Sprintf("%q still stands as %q", c, s.Standing))
		}
	}
	packets := r.trees(trail.Picked)
	switch short := r.calls[call.ShortSeason]; {
	case !t.reached(stage.SeedRipe, end):
		if len(short.Asked) == 0 {
			list = append(list, "the summer was too short, and nobody was told")
		}
		if len(packets) > 0 {
			list = append(list, "seed was picked that can't have been ripe")
		}
	case len(packets) != len(r.living()):
		list = append(list, fmt.Sprintf("seed was picked from %d trees of %d", len(packets), len(r.living())))
	}
	switch pick := r.calls[call.PickSeed].Standing; {
	case pick == call.Done:
	case pick == call.NotNeeded && !t.reached(stage.SeedRipe, end): // nobody was sent for what can't ripen
	default:
		list = append(list, fmt.Sprintf("%q ended as %q", call.PickSeed, pick))
	}
	return list
}

// bagsMissed looks at every tree's bags.
func (r *record) bagsMissed(t truth) (list []string) {
	if s := r.calls[call.BagOn]; s.Standing != call.Done {
		list = append(list, fmt.Sprintf("%q ended as %q (%s)", call.BagOn, s.Standing, s.Reason))
	}
	for _, tree := range r.living() {
		on, torn := false, false
		for _, rep := range r.reports {
			torn = torn || rep.Kind == trail.BagsTorn && rep.Tree == tree.Short
			if rep.Kind != trail.BagsOn || rep.Tree != tree.Short {
				continue
			}
			on = rep.Selfing >= r.site.Settings.MinSelfing && rep.Control >= r.site.Settings.MinControl
			if !torn && t.reached(stage.BudBreak, rep.Day) {
				list = append(list, fmt.Sprintf("%s got its bags on %s, after bud break", tree.Short, rep.Day))
			}
		}
		if !on {
			list = append(list, fmt.Sprintf("%s lacks bags", tree.Short))
		}
	}
	return list
}

// living is the trees of which something is asked.
func (r *record) living() (trees []trail.Tree) {
	bare := r.trees(trail.NoCatkins)
	for _, t := range r.site.Trees {
		if !t.Gone && !bare[t.Short] {
			trees = append(trees, t)
		}
	}
	return trees
}

// trees is the trees of which something of a kind was reported.
func (r *record) trees(k trail.Kind) map[string]bool {
	out := map[string]bool{}
	for _, rep := range r.reports {
		if rep.Kind == k {
			out[rep.Tree] = true
		}
	}
	return out
}
