package demo

import (
	"context"
	"fmt"
	"maps"
	"strconv"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
)

// What people make of what they see.
const (
	swellsSoon   = 6 // days before bud swelling at which a bag is put on all the same
	brownsBefore = 5 // days before ripeness at which seed turns brown
	picksBefore  = 2 // days before ripeness at which seed is picked all the same
	waits        = 6 // days until the next trip, where it is too early
)

// atTheTrees is a trip, and the report of it.
func (c *crew) atTheTrees(ctx context.Context, v visit) error {
	v, err := c.open(ctx, v)
	if err != nil || v.ended() {
		return err
	}
	switch v.call {
	case call.SurveyTrees:
		return c.survey(ctx, v)
	case call.LookAtBuds:
		return c.say(ctx, v, c.seen(v, stage.BudSwelling, stage.BudBreak))
	case call.CheckBags:
		return c.check(ctx, v)
	case call.BagOn:
		if tree, ok := c.torn[v.site.Code]; ok {
			return c.replace(ctx, v, tree)
		}
		return c.bagOn(ctx, v)
	case call.TakeOff:
		filled := c.seen(v, stage.Flowering, stage.FloweringOver)
		maps.Copy(filled, v.everyTree("off"))
		c.frozen(v, filled)
		return c.say(ctx, v, filled)
	case call.LookAtSeed:
		seed := "green"
		if c.truths[v.site.Code].reached(stage.SeedRipe, v.today()+brownsBefore) {
			seed = "brown"
		}
		return c.say(ctx, v, map[string]string{"seed": seed})
	case call.PickSeed:
		return c.pick(ctx, v)
	}
	return nil
}

// everyTree fills in the tick for all trees, where the form has it, else each
// tree's own.
func (v visit) everyTree(field string) map[string]string {
	filled := map[string]string{}
	for _, i := range v.form.named("all") {
		return map[string]string{i.name: i.value}
	}
	for _, i := range v.form.named(field + ".") {
		filled[i.name] = i.value
	}
	return filled
}

// bagOn puts the bags on, unless the buds are far from swelling or open.
func (c *crew) bagOn(ctx context.Context, v visit) error {
	t, today := c.truths[v.site.Code], v.today()
	filled := c.seen(v, stage.BudSwelling, stage.BudBreak)
	byMail := v.task == c.odd.mailed && v.who.Code == v.site.Lead
	switch {
	case t.reached(stage.BudBreak, today):
	case !t.reached(stage.BudSwelling, today+swellsSoon):
		return c.again(ctx, v, filled)
	case byMail && c.once("mailed"):
		return c.bagOnByMail(ctx, v)
	case len(v.form.named("all")) > 0:
		maps.Copy(filled, v.everyTree(""))
	default:
		s := v.site.Settings
		for _, i := range v.form.named("selfing.") {
			filled[i.name] = strconv.Itoa(s.MinSelfing)
		}
		for _, i := range v.form.named("control.") {
			filled[i.name] = strconv.Itoa(s.MinControl)
		}
	}
	return c.say(ctx, v, filled)
}

// bagOnByMail puts the bags on and says so in an answer to the mail, in the
// words of the person's own language, with a photo.
func (c *crew) bagOnByMail(ctx context.Context, v visit) error {
	s := v.site.Settings
	var lines []string
	trees := living(v.site.Trees)
	for n, t := range trees {
		if v.site.Code == c.odd.bare.site && n == len(trees)-1 {
			continue // it bears no catkins
		}
		lines = append(lines, fmt.Sprintf("%s %d+%d", t.Short, s.MinSelfing, s.MinControl))
	}
	if c.truths[v.site.Code].reached(stage.BudSwelling, v.today()) {
		lines = append(lines, swollen[v.who.Lang])
	}
	photo, err := aPhoto()
	if err != nil {
		return err
	}
	return c.post.send(ctx, answered{from: v.who, to: v.mail, at: v.now, text: strings.Join(lines, "\n") + "\n\n-- \n" + v.who.Name, photo: photo})
}

// swollen is "the buds are swelling" by language, as people write it.
var swollen = map[string]string{"en": "buds swollen", "fi": "silmut turvonneet", "sv": "knoppar svällda"}

// again reports what was seen and names a later day.
func (c *crew) again(ctx context.Context, v visit, filled map[string]string) error {
	day := v.today() + waits
	for !v.who.CanGo.Has(day) {
		day++
	}
	filled["answer"], filled["other_day"] = "other", day.String()
	if err := c.say(ctx, v, filled); err != nil {
		return err
	}
	c.goes(v, day, day.In(v.site.Zone, 14+c.rng.IntN(5), c.rng.IntN(60)))
	return nil
}

// pick picks what is ripe: a packet for each bag. Where the summer ends before
// the seed is ripe, there is nothing to pick.
func (c *crew) pick(ctx context.Context, v visit) error {
	ripe := c.truths[v.site.Code].reached(stage.SeedRipe, v.today()+picksBefore)
	switch {
	case ripe:
		filled := map[string]string{}
		for _, i := range v.form.named("selfing.") {
			filled[i.name] = strconv.Itoa(v.site.Settings.MinSelfing)
		}
		for _, i := range v.form.named("control.") {
			filled[i.name] = strconv.Itoa(v.site.Settings.MinControl)
		}
		return c.say(ctx, v, filled)
	case v.today()+waits > c.end(v):
		return c.say(ctx, v, map[string]string{"nothing": "yes"})
	}
	return c.again(ctx, v, map[string]string{})
}

// end is the last day on which seed can ripen at the site.
func (c *crew) end(v visit) civil.Date { return v.site.Settings.SeasonEnd.In(seasonYear) }
