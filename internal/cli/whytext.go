package cli

import (
	"cmp"
	"fmt"
	"strconv"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// whyRows gives an answer to why as rows for people.
func whyRows(b *app.Beside, w app.Why) [][]string {
	c := words.For("en")
	rows := [][]string{{c.TaskAt(w.Task, w.Site.Name) + " (" + w.Site.Code + "), season " + strconv.Itoa(w.Season) + ", as of " + c.Moment(w.Now)}, {}}
	add := func(head, text string) {
		if text != "" {
			rows = append(rows, []string{head, text})
		}
	}
	add("standing", standing(c, w))
	add("days", days(c, w))
	asked(c, w, add)
	if w.Task != call.LotExpected { // a parcel ripens no more
		add("heat", heat(c, w.Why))
		add("expected", expected(c, w.Why))
	}
	odds(c, w, add)
	add("station", station(c, w.Why))
	if w.Why.Years != nil {
		add("years", "the weather to come is that of "+w.Why.Years.Said(c))
	}
	for i, t := range w.Told {
		what := c.ReasonFor(t.Task, t.Reason)
		if !t.Reason.Raised() {
			what = c.Standing(t.Standing) + ", because " + what
		}
		add(first(i, "told"), fmt.Sprintf("%s to %s: %s (%s)", c.Moment(t.At), cmp.Or(b.Name(t.Person), "the ops person"), what, letterState(t.State)))
	}
	if len(w.Told) == 0 {
		add("told", "nobody yet")
	}
	for i, r := range w.Reports {
		add(first(i, "reported"), c.Day(r.Day)+": "+reported(c, r)+", by "+b.Name(r.Person)+" ("+r.Way+")")
	}
	if len(w.Reports) == 0 {
		add("reported", "nothing yet")
	}
	return rows
}

// first names a row only where it is the first of its kind.
func first(i int, head string) string {
	if i > 0 {
		return ""
	}
	return head
}

func standing(c *words.Catalogue, w app.Why) string {
	s := w.State
	text := c.Standing(s.Standing)
	if s.Since != 0 {
		text += " since " + c.Day(s.Since)
	}
	if s.Reason != "" {
		text += ": " + c.ReasonFor(w.Task, s.Reason)
	}
	return text
}

func days(c *words.Catalogue, w app.Why) string {
	s := w.State
	if s.Days.Len() == 0 {
		return "none yet"
	}
	text := c.Days(s.Days)
	if s.Best != 0 && s.Days.Has(s.Best) && s.Days.Len() > 1 && (w.Task == call.BagOn || w.Task == call.PickSeed) {
		text += ", best on " + c.Day(s.Best)
	}
	return text
}

func asked(c *words.Catalogue, w app.Why, add func(head, text string)) {
	if len(w.Asked) == 0 {
		add("asked", "nobody yet")
	}
	for i, a := range w.Asked {
		text := a.Name + " (" + a.Code + "), " + c.Moment(a.At)
		if i == len(w.Asked)-1 && w.State.Standing.Asks() && !w.State.AnswerBy.IsZero() {
			text += "; an answer is waited for until " + c.Moment(w.State.AnswerBy.In(w.Site.Zone))
		}
		add(first(i, "asked"), text)
	}
}

func heat(c *words.Catalogue, y notice.Why) string {
	if !(y.NeedCd > 0) {
		return "nothing is known of it yet this season"
	}
	return fmt.Sprintf("%s of about %s degree days for %s (above %s, since %s)", c.Number(y.HeatCd), c.Number(y.NeedCd), c.Stage(int(y.Stage)), c.Degrees(y.BaseC), c.Date(y.Since))
}

func expected(c *words.Catalogue, y notice.Why) string {
	if y.P50 == 0 {
		return "later than the forecast reaches"
	}
	return fmt.Sprintf("around %s (8 in 10: %s)", c.Day(y.P50), c.Days(civil.Range{First: y.P10, Last: y.P90}))
}

// odds says the odds behind the call.
func odds(c *words.Catalogue, w app.Why, add func(head, text string)) {
	y := w.Why
	late, early := "trees too late", fmt.Sprintf("bags hang longer than %d days", y.MaxLead)
	switch w.Task {
	case call.PickSeed:
		late, early = "trees have shed their seed", "are not ripe"
	case call.TakeOff:
		add("odds", "no tree of the species sheds pollen any more on "+c.Day(y.GoOn)+": "+c.Likelihood(y.Chance))
		return
	case call.LookAtSeed:
		add("odds", "seed is ripe on "+c.Day(y.GoOn)+": "+c.Likelihood(y.Chance))
		return
	case call.ShortSeason:
		add("odds", "seed ripens by "+c.Day(y.SeasonEnd)+": "+c.Likelihood(y.Chance))
		return
	case call.SendKit, call.SurveyTrees, call.CheckBags, call.LotExpected: // nothing is weighed for them
		return
	}
	add("odds", fmt.Sprintf("going %s: %s %s, %s %s", c.Day(y.GoOn), c.Odds(y.GoLate), late, c.Odds(y.GoEarly), early))
	if y.WaitFor != 0 {
		add("", fmt.Sprintf("waiting until %s: %s and %s", c.Day(y.WaitFor), c.Odds(y.WaitLate), c.Odds(y.WaitEarly)))
	}
	if w.Task == call.BagOn {
		add("", "the earliest tree has broken bud: "+c.Likelihood(y.Earliest))
	}
}

func station(c *words.Catalogue, y notice.Why) string {
	if y.Station == "" {
		return "none has reported for this site yet"
	}
	text := fmt.Sprintf("%s, %s away; the site lies %s; last reading %s", y.Station, c.Distance(y.DistanceKm), c.Higher(y.HigherM), c.Day(y.Reading))
	if y.Forecast {
		return text + "; a weather forecast is used"
	}
	return text + "; no weather forecast is used"
}

func letterState(state string) string {
	switch state {
	case "":
		return "not yet written"
	case "taken", "dotted":
		return "being sent"
	}
	return state
}

// reported says a report in a few words.
func reported(c *words.Catalogue, r trail.Report) string {
	text := string(r.Kind)
	switch r.Kind {
	case trail.StageSeen:
		text = c.Stage(r.BBCH) + " seen"
	case trail.NotYet:
		text = c.Stage(r.BBCH) + " not seen yet"
	case trail.BagsOn, trail.Picked:
		text = fmt.Sprintf("%d selfing and %d control %s", r.Selfing, r.Control, r.Kind)
	case trail.Going:
		text = "going on " + c.Day(r.On)
	case trail.CannotGo:
		text = "can't go"
	case trail.Away:
		text = "away from " + c.Day(r.On) + " to " + c.Day(r.Until)
	case trail.CatkinsSeen:
		if r.Count > 0 {
			text = fmt.Sprintf("%d catkins", r.Count)
		}
	case trail.BagsTorn, trail.LotReceived:
		if r.Selfing+r.Control > 0 {
			text = fmt.Sprintf("%s, %d selfing and %d control", r.Kind, r.Selfing, r.Control)
		}
	case trail.Problem:
		text = "problem: " + r.Note
	}
	if r.Tree != "" {
		text = r.Tree + ": " + text
	}
	return text
}
