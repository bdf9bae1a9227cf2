package words

import (
	"fmt"

	"budcall/internal/call"
)

// Task gives what a call asks for, as a title: "Bag on".
func (c *Catalogue) Task(t call.Task) string { return c.named("task.", string(t)) }

// TaskAt gives what a call asks for and where, to begin a sentence with: "Bag
// on at Kolmivaara".
func (c *Catalogue) TaskAt(t call.Task, site string) string {
	return c.Text(Key("task-at."+string(t)), Args{"site": site})
}

// TaskWithin gives the same for the middle of a sentence: "bag on at
// Kolmivaara".
func (c *Catalogue) TaskWithin(t call.Task, site string) string {
	return c.Text(Key("task-within."+string(t)), Args{"site": site})
}

// Role gives what somebody is in the programme: "site lead".
func (c *Catalogue) Role(role string) string { return c.named("role.", role) }

// Standing gives how a call stands, in words for people: "last days".
func (c *Catalogue) Standing(s call.Standing) string { return c.named("standing.", string(s)) }

// Reason gives why a call stands as it does, as a clause without a capital:
// "the last days have begun".
func (c *Catalogue) Reason(r call.Reason) string { return c.named("reason.", string(r)) }

// ReasonFor gives a reason in the words of the task it is about, where it has
// some: "green tips were reported from the site".
func (c *Catalogue) ReasonFor(t call.Task, r call.Reason) string {
	k := Key("reason-for." + string(t) + "." + string(r))
	if s := c.raw(k); s != string(k) {
		return s
	}
	return c.Reason(r)
}

// Stage gives the name of a BBCH stage in plain words: "bud break". A stage
// that we have no name for is "BBCH 53".
func (c *Catalogue) Stage(bbch int) string {
	name, _ := c.StageKnown(bbch)
	return name
}

// StageKnown is Stage, and whether we have a name for the stage.
func (c *Catalogue) StageKnown(bbch int) (string, bool) {
	k := Key(fmt.Sprintf("stage.%02d", bbch))
	if s := c.raw(k); s != string(k) {
		return s, true
	}
	return fmt.Sprintf("BBCH %02d", bbch), false
}

// named gives the name of a value of a closed list; one that isn't in it comes
// out as it is.
func (c *Catalogue) named(kind, value string) string {
	k := Key(kind + value)
	if s := c.raw(k); s != string(k) {
		return s
	}
	return value
}

// englishNames is the names of tasks, standings, reasons and stages, by the
// value itself; a test holds it to the closed lists.
var englishNames = Texts{
	"task.survey trees": "Survey the trees",
	"task.look at buds": "Look at the buds",
	"task.check bags":   "Check the bags",
	"task.lot expected": "Seed expected",
	"task.send kit":     "Send the kit",
	"task.bag on":       "Bag on",
	"task.take off":     "Take bags off",
	"task.look at seed": "Look at the seed",
	"task.pick seed":    "Pick seed",
	"task.short season": "Short season",

	"task-at.survey trees": "Survey the trees at {site}",
	"task-at.look at buds": "Look at the buds at {site}",
	"task-at.check bags":   "Check the bags at {site}",
	"task-at.lot expected": "Seed expected from {site}",
	"task-at.send kit":     "Send the kit to {site}",
	"task-at.bag on":       "Bag on at {site}",
	"task-at.take off":     "Take bags off at {site}",
	"task-at.look at seed": "Look at the seed at {site}",
	"task-at.pick seed":    "Pick seed at {site}",
	"task-at.short season": "Short season at {site}",

	"task-within.survey trees": "survey the trees at {site}",
	"task-within.look at buds": "look at the buds at {site}",
	"task-within.check bags":   "check the bags at {site}",
	"task-within.lot expected": "seed expected from {site}",
	"task-within.send kit":     "send the kit to {site}",
	"task-within.bag on":       "bag on at {site}",
	"task-within.take off":     "take bags off at {site}",
	"task-within.look at seed": "look at the seed at {site}",
	"task-within.pick seed":    "pick seed at {site}",
	"task-within.short season": "short season at {site}",

	"role.site lead":            "site lead",
	"role.site deputy":          "site deputy",
	"role.coordinator":          "coordinator",
	"role.coordinator's deputy": "coordinator's deputy",
	"role.laboratory":           "laboratory",

	"standing.":           "far off",
	"standing.ahead":      "coming up",
	"standing.go":         "now",
	"standing.hurry":      "last days",
	"standing.look first": "look first",
	"standing.too late":   "too late",
	"standing.done":       "done",
	"standing.not needed": "no longer needed",

	"reason.far off":            "the days are still far off",
	"reason.days coming":        "the days are coming near",
	"reason.best days begin":    "the best days begin",
	"reason.last days begin":    "the last days have begun",
	"reason.last day past":      "the last day is past, but some trees may still do",
	"reason.reported past":      "somebody reported that the stage is past",
	"reason.nearly sure past":   "going by the heat, it is all but certain that the stage is past",
	"reason.reported":           "it was reported done",
	"reason.still closed":       "the buds were still closed at the last look",
	"reason.seen brown":         "somebody saw brown catkins",
	"reason.no bags on":         "no bags hang at this site",
	"reason.bags already on":    "the bags are on already",
	"reason.bagging over":       "no bags can go on at this site any more",
	"reason.season over":        "the season is over",
	"reason.seed in doubt":      "it is doubtful that the seed ripens in time",
	"reason.seed likely":        "the seed will probably ripen in time after all",
	"reason.days moved":         "the days have moved",
	"reason.answer overdue":     "no answer came in the time allowed",
	"reason.can't go":           "the person asked before can't go",
	"reason.promised day past":  "the promised day is past and no report came",
	"reason.mail returned":      "the mail to the person asked before came back",
	"reason.nobody else to ask": "nobody else is known who could be asked",
	"reason.survey time":        "the weeks have come in which the trees are surveyed",
	"reason.look helps":         "what you see is likely to move the days of bagging",
	"reason.station silent":     "the site's own weather station is silent, so that the days are less certain than usual",
	"reason.bagging begins":     "the time of bagging has begun, and whoever bags looks as well",
	"reason.too late to help":   "it would change nothing any more",
	"reason.no catkins":         "no tree of the site bears catkins this year",
	"reason.strong wind":        "it blew hard while bags hung",
	"reason.look due":           "nobody has looked at the bags for some time",
	"reason.taking off begins":  "the bags come off now, and whoever takes them off looks at them",
	"reason.bags torn":          "bags were torn before flowering and must be replaced",
	"reason.seed picked":        "seed was picked",
	"reason.lot overdue":        "seed that was picked has not arrived in time",
	"reason.nothing picked":     "nothing was picked",
	"reason.away":               "the person asked before is away",
	"reason.unsafe":             "somebody answered that nobody can go there safely",
	"reason.no permission":      "somebody answered that going there isn't allowed",
	"reason.reported early":     "it was reported of a day on which it can hardly have been right",
	"reason.packets differ":     "other packets came to the laboratory than were picked",
	"reason.reports differ":     "two people reported what can't both be",
	"reason.problem reported":   "a problem was reported",

	"reason-for.bag on.reported past":       "green tips were reported from the site",
	"reason-for.bag on.nearly sure past":    "going by the heat, it is all but certain that the buds have broken",
	"reason-for.survey trees.last day past": "the weeks of the survey are past, and not every tree was reported",
	"reason-for.check bags.last day past":   "the last day is past, and not every tree with bags was reported",
	"reason-for.pick seed.nearly sure past": "going by the heat, it is all but certain that the seed is shed",
	"reason-for.look at seed.reported":      "the seed is picked already",
	"reason-for.send kit.last day past":     "the last day to send it in time is past",
	"reason-for.take off.last day past":     "the last day is past, and bags still hang",
	"reason-for.look at seed.last day past": "the last day is past, and no look was reported",
	"reason-for.short season.no bags on":    "no bags hang at this site any more",

	"stage.01": "bud swelling",
	"stage.07": "bud break",
	"stage.09": "green leaf tips",
	"stage.11": "first leaves unfolded",
	"stage.60": "flowering",
	"stage.65": "full flowering",
	"stage.69": "end of flowering",
	"stage.89": "ripe seed",
}
