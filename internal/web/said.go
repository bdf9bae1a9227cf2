package web

import (
	"budcall/internal/trail"
	"budcall/internal/words"
)

// said gives what a report says, without its day: "bags on T3: 2 selfing bags
// and 1 control bag".
func said(c *words.Catalogue, r trail.Report) string {
	args := words.Args{"tree": r.Tree}
	switch r.Kind {
	case trail.StageSeen:
		return c.Text(words.ReportStageSeen, words.Args{"stage": c.Stage(r.BBCH)})
	case trail.NotYet:
		return c.Text(words.ReportNotYet, words.Args{"stage": c.Stage(r.BBCH)})
	case trail.BagsOn:
		args["bags"] = saidBags(c, r.Selfing, r.Control)
		return c.Text(words.ReportBagsOn, args)
	case trail.BagsOff:
		return c.Text(siteOrTree(r, words.ReportAllOff, words.ReportBagsOff), args)
	case trail.Picked:
		args["packets"] = c.List([]string{c.Count(words.ReportSelfingPacket, r.Selfing), c.Count(words.ReportControlPacket, r.Control)})
		return c.Text(words.ReportPicked, args)
	case trail.NothingToPick:
		return c.Text(siteOrTree(r, words.ReportNothingAtAll, words.ReportNothing), args)
	case trail.Going:
		return c.Text(words.ReportGoing, words.Args{"on": c.Day(r.On)})
	}
	if k, ok := saidAlone[r.Kind]; ok {
		return c.Text(k)
	}
	return string(r.Kind)
}

// saidAlone is the reports that say all by their kind.
var saidAlone = map[trail.Kind]words.Key{
	trail.SeedBrown:  words.ReportSeedBrown,
	trail.SeedGreen:  words.ReportSeedGreen,
	trail.KitArrived: words.ReportKit,
	trail.Understood: words.ReportUnderstood,
	trail.CannotGo:   words.ReportCannot,
}

func siteOrTree(r trail.Report, site, tree words.Key) words.Key {
	if r.Tree == "" {
		return site
	}
	return tree
}

func saidBags(c *words.Catalogue, selfing, control int) string {
	return c.List([]string{c.Count(words.SelfingBags, selfing), c.Count(words.ControlBags, control)})
}

// saidOn is said with its day in front.
func saidOn(c *words.Catalogue, r trail.Report) string {
	return c.Text(words.ReportLine, words.Args{"day": c.Day(r.Day), "what": said(c, r)})
}
