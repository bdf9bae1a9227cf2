package words

import "budcall/internal/trail"

// Report gives what a report says, without its day: "bags on T3: 2 selfing bags
// and 1 control bag".
func (c *Catalogue) Report(r trail.Report) string {
	args := Args{"tree": r.Tree, "note": r.Note}
	whole := func(site, tree Key) string {
		if r.Tree == "" {
			return c.Text(site, args)
		}
		return c.Text(tree, args)
	}
	switch r.Kind {
	case trail.StageSeen, trail.NotYet:
		return c.saidStage(r)
	case trail.BagsOn:
		args["bags"] = c.bags(r.Selfing, r.Control)
		return c.Text(ReportBagsOn, args)
	case trail.BagsTorn:
		args["bags"] = c.bags(r.Selfing, r.Control)
		if r.Selfing+r.Control == 0 {
			return c.Text(ReportTornSome, args)
		}
		return c.Text(ReportTorn, args)
	case trail.BagsFine:
		return whole(ReportAllFine, ReportFine)
	case trail.BagsOff:
		return whole(ReportAllOff, ReportBagsOff)
	case trail.Picked, trail.LotReceived:
		return c.saidPackets(r)
	case trail.NothingToPick:
		return whole(ReportNothingAtAll, ReportNothing)
	case trail.CatkinsSeen:
		if r.Count > 0 {
			return c.Count(ReportCatkins, r.Count, args)
		}
		return whole(ReportCatkinsSite, ReportCatkinsSeen)
	case trail.NoCatkins:
		return whole(ReportNoCatkinsSite, ReportNoCatkins)
	case trail.Going:
		return c.Text(ReportGoing, Args{"on": c.Day(r.On)})
	case trail.Away:
		return c.Text(ReportAway, Args{"from": c.Day(r.On), "until": c.Day(r.Until)})
	case trail.Problem:
		return c.Text(ReportProblem, args)
	}
	if k, ok := saidAlone[r.Kind]; ok {
		return c.Text(k)
	}
	return string(r.Kind)
}

// ReportOn is Report with its day in front.
func (c *Catalogue) ReportOn(r trail.Report) string {
	return c.Text(ReportLine, Args{"day": c.Day(r.Day), "what": c.Report(r)})
}

func (c *Catalogue) saidStage(r trail.Report) string {
	k := ReportStageSeen
	if r.Kind == trail.NotYet {
		k = ReportNotYet
	}
	said := c.Text(k, Args{"stage": c.Stage(r.BBCH)})
	if r.Tree != "" {
		return c.Text(ReportOfTree, Args{"tree": r.Tree, "what": said})
	}
	return said
}

func (c *Catalogue) saidPackets(r trail.Report) string {
	k := ReportPicked
	switch {
	case r.Kind == trail.LotReceived && r.Selfing+r.Control == 0 && r.Tree == "":
		return c.Text(ReportAllReceived)
	case r.Kind == trail.LotReceived && r.Selfing+r.Control == 0:
		return c.Text(ReportReceivedSome, Args{"tree": r.Tree})
	case r.Kind == trail.LotReceived:
		k = ReportReceived
	}
	packets := c.List([]string{c.Count(ReportSelfingPacket, r.Selfing), c.Count(ReportControlPacket, r.Control)})
	return c.Text(k, Args{"tree": r.Tree, "packets": packets})
}

func (c *Catalogue) bags(selfing, control int) string {
	return c.List([]string{c.Count(SelfingBags, selfing), c.Count(ControlBags, control)})
}

// saidAlone is the reports that say all by their kind.
var saidAlone = map[trail.Kind]Key{
	trail.SeedBrown:    ReportSeedBrown,
	trail.SeedGreen:    ReportSeedGreen,
	trail.KitArrived:   ReportKit,
	trail.Understood:   ReportUnderstood,
	trail.CannotGo:     ReportCannot,
	trail.Unsafe:       ReportUnsafe,
	trail.NoPermission: ReportNoPermission,
}

// Reports and answers beside those that the board's own part has.
const (
	ReportOfTree        Key = "report.of-tree"
	ReportTorn          Key = "report.torn"
	ReportTornSome      Key = "report.torn-some"
	ReportFine          Key = "report.fine"
	ReportAllFine       Key = "report.all-fine"
	ReportReceived      Key = "report.received"
	ReportReceivedSome  Key = "report.received-some"
	ReportAllReceived   Key = "report.all-received"
	ReportCatkins       Key = "report.catkins"
	ReportCatkinsSeen   Key = "report.catkins-seen"
	ReportCatkinsSite   Key = "report.catkins-site"
	ReportNoCatkins     Key = "report.no-catkins"
	ReportNoCatkinsSite Key = "report.no-catkins-site"
	ReportAway          Key = "report.away"
	ReportProblem       Key = "report.problem"
	ReportUnsafe        Key = "report.unsafe"
	ReportNoPermission  Key = "report.no-permission"
)

var englishReported = Texts{
	ReportOfTree:        "{tree}: {what}",
	ReportTorn:          "torn on {tree}: {bags}",
	ReportTornSome:      "bags torn on {tree}",
	ReportFine:          "bags on {tree} looked at, whole",
	ReportAllFine:       "all bags looked at, whole",
	ReportReceived:      "received from {tree}: {packets}",
	ReportReceivedSome:  "seed of {tree} received",
	ReportAllReceived:   "all seed received",
	ReportCatkins:       "{tree} bears {n} catkin | {tree} bears {n} catkins",
	ReportCatkinsSeen:   "{tree} bears catkins",
	ReportCatkinsSite:   "all trees bear catkins",
	ReportNoCatkins:     "{tree} bears no catkins this year",
	ReportNoCatkinsSite: "no tree bears catkins this year",
	ReportAway:          "away from {from} to {until}",
	ReportProblem:       "a problem: {note}",
	ReportUnsafe:        "nobody can go there safely",
	ReportNoPermission:  "going there isn't allowed",
}
