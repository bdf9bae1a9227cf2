package report

import (
	"fmt"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// Prefill gives the body of a mailto link that answers a task: a line for each
// tree, to be ended by hand ("T1 " becomes "T1 2+1"). A line left as it is
// says nothing, so the body sent untouched is no report. Only the tasks whose
// whole answer is one word are prefilled with it: "kit arrived" for the kit,
// "seen" for a short season; sending that is the answer.
//
// trees are short names; in a mail about several sites each has its site's
// code before it ("SKO T1"). Line ends are \n; a mailto link needs them as %0D%0A
// (RFC 6068).
func Prefill(task call.Task, trees []string, language string) string {
	v := vocabularyOf(language)
	switch task {
	case call.SendKit:
		return v.examples.kit
	case call.ShortSeason:
		return v.examples.understood
	}
	var b strings.Builder
	for _, t := range trees {
		b.WriteString(t + " \n")
	}
	return b.String()
}

// PrefillGoing gives the body of a mailto link that promises a day; sending it
// untouched is exactly that answer.
func PrefillGoing(day civil.Date, language string) string {
	e := vocabularyOf(language).examples
	if name := e.months[day.Month()-1]; name != "" {
		return fmt.Sprintf("%s %d %s", e.going, day.Day(), name)
	}
	return fmt.Sprintf("%s %d.%d.", e.going, day.Day(), day.Month())
}

// PrefillCannot gives the body of a mailto link that says "can't"; sending it
// untouched is exactly that answer.
func PrefillCannot(language string) string { return vocabularyOf(language).examples.cannot }

// Examples gives the heading and the example lines that a mail about a task
// shows, for the tree named. Read knows the heading, and passes over the lines
// below it up to the next empty one wherever they come back unmarked.
func Examples(task call.Task, tree, language string) []string {
	e := vocabularyOf(language).examples
	says := func(what, means string) string {
		if means == "" {
			return "  " + tree + " " + what
		}
		if strings.Contains(means, "%s") {
			means = fmt.Sprintf(means, tree)
		}
		return fmt.Sprintf("  %-16s %s", tree+" "+what, means)
	}
	lines := []string{e.heading}
	switch task {
	case call.SendKit:
		return append(lines, "  "+e.kit)
	case call.ShortSeason:
		return append(lines, "  "+e.understood)
	case call.LotExpected:
		return append(lines, says("2+1", e.saysCame), says(e.arrived, ""))
	case call.BagOn:
		lines = append(lines, says("2+1", e.saysOn))
	case call.TakeOff:
		lines = append(lines, says(e.off, e.saysOff))
	case call.PickSeed:
		lines = append(lines, says("2+1", e.saysPicked), says(e.noPick, ""))
	case call.LookAtSeed:
		lines = append(lines, says(e.brown, ""))
	case call.LookAtBuds:
		lines = append(lines, says(e.closed, ""))
	case call.CheckBags:
		lines = append(lines, says(e.fine, ""))
	case call.SurveyTrees:
		lines = append(lines, says(e.noCatkins, ""))
	}
	return append(lines, "  "+e.going+" "+e.day, "  "+e.cannot)
}
