package rehearse

import (
	"fmt"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// Bounds of a reason; our assumptions.
const (
	shortNotice  = 3   // days between asking and bud break within which nobody can be blamed
	gapDays      = 10  // before the day in question in which readings count as missing …
	gapMissing   = 5   // … if so many are
	oddK         = 3.0 // K by which a spell departs from other years for the weather to be the reason
	warmDays     = 7   // before bud break whose warmth counts
	farAheadDays = 7   // before bud break whose forecast is held against what came
)

// badSeason is a season that went badly, and what is known of how: what a reason is
// found from.
type badSeason struct {
	trees  []Tree
	limits Limits
	story  Story
	weigh  float64 // trees bagged too early that weigh as one lost
	// missing counts the days without reading among the gapDays before a day;
	// odd is by how many K the days from one to before another were warmer than
	// in other years, NaN where that isn't known.
	missing func(before civil.Date) int
	odd     func(from, before civil.Date) float64
}

// Reason says in a line why trees were lost or bagged too early in a season that
// the program has played, beginning with what it lay at: the people, the
// weather, the model (what came lay outside of P10 to P90 of the forecast), or
// else the rule by which days are told. The story must have been kept.
func (s *Season) Reason(st Story) string {
	climate := s.Climate()
	return reason(badSeason{
		trees: s.trees, limits: s.set.Limits, story: st, weigh: s.set.EarlyPerLost,
		missing: func(before civil.Date) int {
			return missing(s.Observed(before), gapDays)
		},
		odd: func(from, before civil.Date) float64 {
			return departure(s.station.Means[s.Year], climate, int(from-s.First), int(before-s.First))
		},
	})
}

func reason(w badSeason) string {
	var lost, early []int
	for i, t := range w.trees {
		switch v := Judge(t, w.story.Trees[i], w.limits); {
		case v.Lost:
			lost = append(lost, i)
		case v.TooEarly:
			early = append(early, i)
		}
	}
	switch {
	case len(lost) == 0 && len(early) == 0:
		return "nothing was lost"
	case float64(len(lost)) >= float64(len(early))/w.weigh:
		return w.late(w.typical(lost, BudBreak))
	}
	return w.early(w.typical(early, Flowering))
}

// typical gives of some trees the one in the middle by the day of a stage; the
// earlier one of two.
func (w badSeason) typical(trees []int, code int) int {
	at := trees[0]
	for _, i := range trees {
		before, same := 0, 0
		for _, j := range trees {
			switch a, b := w.trees[j].Reached[code], w.trees[i].Reached[code]; {
			case a < b:
				before++
			case a == b:
				same++
			}
		}
		if half := (len(trees) - 1) / 2; before <= half && half < before+same {
			at = i
			break
		}
	}
	return at
}

// asked gives the first and the last time that anybody was asked to put bags on
// before a day; false where nobody was.
func (w badSeason) asked(before civil.Date) (first, last Telling, ok bool) {
	for _, t := range w.story.Told {
		if t.Item.Task != call.BagOn || !t.Item.Standing.Asks() || civil.At(t.At.UTC()) >= before {
			continue
		}
		if !ok {
			first = t
		}
		last, ok = t, true
	}
	return first, last, ok
}

// issued gives the forecast of a stage as it stood on a day; false where there
// was none.
func (w badSeason) issued(code int, on civil.Date) (found Issue, ok bool) {
	for _, i := range w.story.Issues {
		if i.Code == code && i.On <= on && (!ok || i.On >= found.On) {
			found, ok = i, true
		}
	}
	return found, ok
}

// gap says that the thermometer was silent before a day; empty if it wasn't.
func (w badSeason) gap(before civil.Date) string {
	if n := w.missing(before); n >= gapMissing {
		return fmt.Sprintf("weather: %d of the %d days before %s have no reading", n, gapDays, day(before))
	}
	return ""
}

// day writes a day without its year.
func day(d civil.Date) string {
	if d.IsZero() {
		return "later than is forecast"
	}
	return d.In(time.UTC, 0, 0).Format("2 Jan")
}

// said is a forecast in words.
func (i Issue) said(stage string) string {
	return fmt.Sprintf("forecast of %s: %s P10 %s, P50 %s, P90 %s", day(i.On), stage, day(i.P10), day(i.P50), day(i.P90))
}
