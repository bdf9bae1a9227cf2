package web

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// stagesOf is the stages that a form asks about, by task: those whose forecast
// a word from the site can still improve.
var stagesOf = map[call.Task][]stage.BBCH{
	call.BagOn:      {stage.BudSwelling, stage.BudBreak, stage.Flowering},
	call.LookAtBuds: {stage.BudSwelling, stage.BudBreak},
	call.CheckBags:  {stage.Flowering},
	call.TakeOff:    {stage.Flowering, stage.FloweringOver},
}

// treeFields is the fields of each tree, by task.
var treeFields = map[call.Task][]string{
	call.SurveyTrees: {fieldCatkins, fieldCount},
	call.CheckBags:   {fieldTorn, fieldTornOf, fieldTornCtl},
	call.LotExpected: {fieldSelfing, fieldControl, fieldGot},
	call.BagOn:       {fieldSelfing, fieldControl, fieldGreenTip},
	call.TakeOff:     {fieldOff},
	call.LookAtSeed:  {fieldSelfing, fieldControl, fieldNone}, // who looks picks what is brown
	call.PickSeed:    {fieldSelfing, fieldControl, fieldNone},
}

// siteFields is the fields of the site as a whole, by task.
var siteFields = map[call.Task][]string{
	call.SurveyTrees: {fieldBare},
	call.CheckBags:   {fieldFine},
	call.BagOn:       {fieldAll},
	call.TakeOff:     {fieldAll},
	call.LookAtSeed:  {fieldSeed, fieldNothing},
	call.PickSeed:    {fieldNothing},
	call.SendKit:     {fieldKit},
	call.ShortSeason: {fieldNoted},
}

// fieldsOf gives the names of a form's fields, and for each field of trees
// its name with the dot alone.
func fieldsOf(f Form) map[string]bool {
	known := map[string]bool{fieldKey: true, fieldDay: true, fieldAnswer: true, fieldOtherDay: true,
		fieldAwayFrom: true, fieldAwayUntil: true, fieldProblem: true}
	for _, name := range siteFields[f.Item.Task] {
		known[name] = true
	}
	for _, s := range stagesOf[f.Item.Task] {
		known[stageField(s)] = true
	}
	for _, name := range treeFields[f.Item.Task] {
		known[name+"."] = true
		for _, t := range f.Item.Trees {
			known[name+"."+t.Short] = true
		}
	}
	return known
}

func stageField(s stage.BBCH) string { return fieldSeen + "." + s.String() }

// asked gives the trees of which something is asked.
func (f Form) asked() []notice.TreeNeed { return f.treesWhere(true) }

// others gives the trees that need nothing more, but can be corrected.
func (f Form) others() []notice.TreeNeed { return f.treesWhere(false) }

func (f Form) treesWhere(asked bool) (some []notice.TreeNeed) {
	for _, n := range f.Item.Trees {
		needs := n.Selfing+n.Control > 0
		if f.Item.Task == call.SurveyTrees {
			needs = !f.surveyed(n.Short)
		}
		if needs == asked {
			some = append(some, n)
		}
	}
	return some
}

// bagsOn gives the bags that were last reported on a tree.
func (f Form) bagsOn(short string) (selfing, control int) {
	for _, r := range f.Reports { // newest first
		if r.Kind == trail.BagsOn && r.Tree == short {
			return r.Selfing, r.Control
		}
	}
	return 0, 0
}

// surveyed tells whether it was said of a tree if it bears catkins.
func (f Form) surveyed(short string) bool {
	return slices.ContainsFunc(f.Reports, func(r trail.Report) bool {
		return (r.Kind == trail.CatkinsSeen || r.Kind == trail.NoCatkins) && (r.Tree == short || r.Tree == "")
	})
}

// year is the season's year.
func (f Form) year() int {
	if f.Claim.Season != 0 {
		return f.Claim.Season
	}
	return f.Today.Year()
}

// maxChoices is the most days that are offered to go on; another day can
// always be written.
const maxChoices = 10

// choices gives the days that are offered to go on: the days told on which
// the person can go, else all days told, from today on.
func (f Form) choices() []civil.Date {
	days := f.Item.CanGo
	if len(days) == 0 {
		for d := f.Item.Days.First; f.Item.Days.Has(d); d++ {
			days = append(days, d)
		}
	}
	var ahead []civil.Date
	for _, d := range days {
		if d >= f.Today && len(ahead) < maxChoices {
			ahead = append(ahead, d)
		}
	}
	return ahead
}
