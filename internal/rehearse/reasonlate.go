package rehearse

import (
	"fmt"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// late says why a tree was lost: bags came on the day of bud break or later, or
// never.
func (w badSeason) late(tree int) string {
	open, bagged := w.trees[tree].Reached[BudBreak], w.story.Trees[tree].Bagged
	if open.IsZero() { // never bagged, though it never opened
		open = civil.Of(w.story.lastDay().Year(), 10, 31)
	}
	came := "no bag was ever put on"
	if !bagged.IsZero() {
		came = fmt.Sprintf("bags came on %s", day(bagged))
	}
	if trip, ok := w.leftOn(tree, open); ok {
		return fmt.Sprintf("rule: on %s the tree was left for a second trip; bud break was on %s, and %s", day(trip.Day), day(open), came)
	}
	first, last, ok := w.asked(open)
	if !ok {
		return w.unasked(open, "nobody was asked before")
	}
	asked := civil.At(first.At.UTC())
	switch {
	case open-asked < shortNotice:
		return w.unasked(open, fmt.Sprintf("asked only on %s", day(asked)))
	case bagged.IsZero():
		return fmt.Sprintf("people: asked on %s for %s, and nobody came; bud break was on %s", day(asked), days(first.Item.Days), day(open))
	case bagged > last.Item.Days.Last:
		return fmt.Sprintf("people: asked on %s for %s, nobody came before %s; bud break was on %s", day(asked), days(first.Item.Days), day(bagged), day(open))
	}
	return w.unasked(open, fmt.Sprintf("asked on %s for days up to %s, and %s", day(asked), day(last.Item.Days.Last), came))
}

// unasked says why days that were told, if any, ended after bud break: the
// forecast was off, by the weather or by itself, or the rule took the chance.
func (w badSeason) unasked(open civil.Date, what string) string {
	what = fmt.Sprintf("bud break was on %s, %s", day(open), what)
	i, ok := w.issued(BudBreak, open-farAheadDays)
	below := !ok || i.P10.IsZero() || open < i.P10
	if gap := w.gap(open); below && gap != "" {
		return gap + "; " + what
	}
	if !ok {
		return "rule: " + what + "; no forecast of bud break had been made a week before"
	}
	if k := w.odd(open-warmDays, open); below && k >= oddK {
		return fmt.Sprintf("weather: the week before bud break was %.1f K warmer than in other years; %s; %s", k, what, i.said("bud break"))
	}
	if below {
		return "model: bud break came below P10 of the forecast of the week before; " + what + "; " + i.said("bud break")
	}
	return "rule: " + what + "; " + i.said("bud break")
}

// leftOn gives the last trip with bags before a tree's bud break from which it
// came back without one.
func (w badSeason) leftOn(tree int, open civil.Date) (trip Trip, ok bool) {
	d := w.story.Trees[tree]
	for i, t := range w.story.Trips {
		if w.story.Tasks[i] == call.BagOn && t.Day < open && (d.Bagged.IsZero() || t.Day < d.Bagged) {
			trip, ok = t, true
		}
	}
	return trip, ok
}

// lastDay is the last day of which anything is told.
func (st Story) lastDay() (last civil.Date) {
	for _, t := range st.Told {
		last = max(last, civil.At(t.At.UTC()))
	}
	for _, i := range st.Issues {
		last = max(last, i.On)
	}
	return last
}

func days(r civil.Range) string {
	if r.First == r.Last {
		return day(r.First)
	}
	return day(r.First) + " to " + day(r.Last)
}
