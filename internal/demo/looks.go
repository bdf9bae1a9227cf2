package demo

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"budcall/internal/call"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// underWay is how long a parcel of seed travels, in days.
const underWay = 4

// survey reports each tree's catkins. One tree of one site bears none this year.
func (c *crew) survey(ctx context.Context, v visit) error {
	filled := map[string]string{}
	trees := living(v.site.Trees)
	for i, t := range trees {
		if v.task == c.odd.bare && i == len(trees)-1 {
			filled["catkins."+t.Short] = "none"
			continue
		}
		filled["catkins."+t.Short] = "yes"
		filled["count."+t.Short] = strconv.Itoa(40 + c.rng.IntN(160))
	}
	return c.say(ctx, v, filled)
}

// check reports how the bags were found. Once, at one site, a bag is torn; who
// finds it has none to replace it with.
func (c *crew) check(ctx context.Context, v visit) error {
	filled := map[string]string{}
	for _, i := range v.form.named("fine") {
		filled[i.name] = i.value
	}
	flowers := c.truths[v.site.Code].reached(stage.Flowering, v.today())
	if v.task == c.odd.torn && !flowers && c.once("torn") {
		tree := living(v.site.Trees)[0].Short
		filled["torn."+tree], filled["torn_selfing."+tree] = "torn", "1"
		c.torn[v.site.Code] = tree
	}
	c.frozen(v, filled)
	return c.say(ctx, v, filled)
}

// replace puts a new bag on in the place of a torn one.
func (c *crew) replace(ctx context.Context, v visit, tree string) error {
	delete(c.torn, v.site.Code)
	s := v.site.Settings
	return c.say(ctx, v, map[string]string{"selfing." + tree: strconv.Itoa(s.MinSelfing), "control." + tree: strconv.Itoa(s.MinControl)})
}

// expectLots reports the seed that was announced, once the parcel has come.
func (c *crew) expectLots(_ context.Context, v visit) error {
	if _, ok := c.plans[v.task]; ok {
		return nil
	}
	c.plans[v.task] = plan{v.who.Code, v.today() + underWay}
	c.plan((v.today()+underWay).In(v.who.Zone, 10, c.rng.IntN(120)), func(ctx context.Context, now time.Time) error {
		delete(c.plans, v.task)
		v, err := c.open(ctx, visit{who: v.who, link: v.link, mail: v.mail, now: now})
		if err != nil || v.ended() {
			return err
		}
		if v.task == c.odd.parcel && c.once("parcel") {
			return c.openParcel(ctx, v)
		}
		filled := map[string]string{}
		for _, i := range v.form.named("received.") {
			filled[i.name] = i.value
		}
		return c.say(ctx, v, filled)
	})
	return nil
}

func living(trees []trail.Tree) (some []trail.Tree) {
	for _, t := range trees {
		if !t.Gone {
			some = append(some, t)
		}
	}
	return some
}

// looksMissed gives what wasn't as it must be of surveys, checks and lots.
func (o outcome) looksMissed(r *record) (list []string) {
	if r.site.Code == o.odd.bare.site && len(r.trees(trail.NoCatkins)) == 0 {
		list = append(list, "the tree without catkins was never reported")
	}
	if r.site.Code == o.odd.torn.site && !slices.ContainsFunc(r.reports, func(x trail.Report) bool { return x.Kind == trail.BagsTorn }) {
		list = append(list, "the torn bag was never reported")
	}
	if s := r.calls[call.SurveyTrees]; s.Standing != call.Done {
		list = append(list, fmt.Sprintf("%q ended as %q (%s)", call.SurveyTrees, s.Standing, s.Reason))
	}
	return list
}
