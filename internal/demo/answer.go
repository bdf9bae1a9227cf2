package demo

import (
	"context"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/words"
)

// read is somebody reading a mail and opening its form.
func (c *crew) read(ctx context.Context, v visit) error {
	v, err := c.open(ctx, v)
	if err != nil || v.ended() {
		return err
	}
	first := v.who.Code == v.site.Lead
	switch {
	case v.standing(call.Ahead):
		if v.task == c.odd.early && first && c.once("early") {
			return c.lookEarly(v)
		}
		return nil
	case v.task == c.odd.silent && first:
		return nil // never heard of
	case v.task == c.odd.cannot && first && c.once("cannot"):
		return c.say(ctx, v, map[string]string{"answer": "cannot"})
	}
	switch v.call {
	case call.ShortSeason:
		return c.say(ctx, v, map[string]string{"understood": "yes"})
	case call.SendKit:
		return c.sendKit(ctx, v)
	case call.LotExpected:
		return c.expectLots(ctx, v)
	}
	return c.promise(ctx, v)
}

// once tells whether an oddity hasn't happened yet.
func (c *crew) once(what string) bool {
	before := c.odd.heard[what]
	c.odd.heard[what] = true
	return !before
}

// sendKit: the kit goes on its way on the day the mail asks for, and its
// arrival is reported when it is there.
func (c *crew) sendKit(ctx context.Context, v visit) error {
	if p, ok := c.plans[v.task]; ok { // it is under way, and we are asked again: say when it arrives
		if p.day < v.today() {
			return nil
		}
		return c.say(ctx, v, map[string]string{"answer": "other", "other_day": p.day.String()})
	}
	leaves := v.today()
	if days := v.days(); len(days) > 0 {
		leaves = days[0]
	}
	arrives := leaves + civil.Date(v.site.Settings.TransitDays)
	c.plans[v.task] = plan{v.who.Code, arrives}
	if err := c.say(ctx, v, map[string]string{"answer": "other", "other_day": leaves.String()}); err != nil {
		return err
	}
	c.plan(arrives.In(v.who.Zone, 13, c.rng.IntN(180)), func(ctx context.Context, now time.Time) error {
		v, err := c.open(ctx, visit{who: v.who, link: v.link, mail: v.mail, now: now})
		if err != nil {
			return err
		}
		return c.say(ctx, v, map[string]string{"kit": "yes"})
	})
	return nil
}

// promise names the day on which the person goes, and has the trip made.
func (c *crew) promise(ctx context.Context, v visit) error {
	day, at := c.choose(v)
	if p, ok := c.plans[v.task]; ok && p.day >= v.today() && p.day <= day {
		return nil // somebody goes already, and no later: they ring each other
	}
	filled := map[string]string{"answer": day.String()}
	if !v.offers(day) {
		filled = map[string]string{"answer": "other", "other_day": day.String()}
	}
	if err := c.say(ctx, v, filled); err != nil {
		return err
	}
	c.goes(v, day, at)
	return nil
}

// goes has the trip made.
func (c *crew) goes(v visit, day civil.Date, at time.Time) {
	mine := plan{v.who.Code, day}
	c.plans[v.task] = mine
	c.plan(at, func(ctx context.Context, now time.Time) error {
		if c.plans[v.task] != mine {
			return nil // somebody else could go earlier
		}
		delete(c.plans, v.task)
		return c.atTheTrees(ctx, visit{who: v.who, link: v.link, mail: v.mail, now: now})
	})
}

// choose picks a day: the one that the form calls the best, else the first,
// else the next on which the person can go; and the hour of the report.
func (c *crew) choose(v visit) (civil.Date, time.Time) {
	today := v.today()
	hour := func(day civil.Date) time.Time { return day.In(v.site.Zone, 14+c.rng.IntN(5), c.rng.IntN(60)) }
	for _, day := range append(v.best(), v.days()...) {
		if day > today || v.now.In(v.site.Zone).Hour() < 13 {
			return day, hour(day)
		}
	}
	day := today + 1
	for !v.who.CanGo.Has(day) {
		day++
	}
	return day, hour(day)
}

// days is the days that the form offers, in its order.
func (v visit) days() (days []civil.Date) {
	for _, i := range v.form.named("answer") {
		if d, err := civil.Parse(i.value); err == nil {
			days = append(days, d)
		}
	}
	return days
}

// best is the day that the form calls the best.
func (v visit) best() (days []civil.Date) {
	said := v.words().Text(words.FormBest)
	for _, i := range v.form.named("answer") {
		d, err := civil.Parse(i.value)
		label := v.form.labels[i.id]
		if err == nil && len(label) >= len(said) && label[len(label)-len(said):] == said {
			days = append(days, d)
		}
	}
	return days
}

func (v visit) offers(day civil.Date) bool {
	for _, d := range v.days() {
		if d == day {
			return true
		}
	}
	return false
}

// lookEarly passes by at the trees some days after being told to plan.
func (c *crew) lookEarly(v visit) error {
	c.plan((v.today()+1).In(v.site.Zone, 17, c.rng.IntN(60)), func(ctx context.Context, now time.Time) error {
		v, err := c.open(ctx, visit{who: v.who, link: v.link, mail: v.mail, now: now})
		if err != nil || v.ended() {
			return err
		}
		c.looked[v.site.Code] = true
		return c.say(ctx, v, c.seen(v, stage.BudSwelling, stage.BudBreak))
	})
	return nil
}

// seen is what somebody sees of stages at the site.
func (c *crew) seen(v visit, codes ...stage.BBCH) map[string]string {
	filled := map[string]string{}
	for _, code := range codes {
		field := "seen." + code.String()
		filled[field] = "no"
		if c.truths[v.site.Code].reached(code, v.today()) {
			filled[field] = "yes"
		}
	}
	return filled
}
