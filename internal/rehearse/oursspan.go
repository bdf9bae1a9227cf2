package rehearse

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
)

// quietDays is how many days before the first stage's heat begins to count the
// program is started, beside the days that it plans ahead and the kit travels:
// until then it has nothing to tell.
const quietDays = 14

// begin is the day on which the program is started.
func (o Ours) begin(s *Season) civil.Date {
	if o.wholeYear {
		return s.First
	}
	first := s.Last
	for _, st := range o.Profile.Stages {
		if st.Code < stage.SeedRipe {
			first = min(first, st.Heat.Start.In(s.Year))
		}
	}
	first = min(first, o.Settings.SurveyFrom.In(s.Year))
	return max(s.First, first-civil.Date(o.Settings.PlanAheadDays+o.Settings.TransitDays+quietDays))
}

// lingerDays is for how many days a season is played on when every call has
// ended: whoever is to be told so has been told by then.
const lingerDays = 3

// over reports whether nothing can come any more: every call has ended some days
// ago, and nobody is about to answer or to go.
func (c *crew) over(now time.Time) bool {
	calls := c.game.Calls(siteCode, c.season.Year)
	for _, task := range call.Tasks {
		if !calls[task].Standing.Ended() {
			c.ended = time.Time{}
			return false
		}
	}
	if len(c.coming) > 0 || c.ended.IsZero() {
		c.ended = now
	}
	return now.Sub(c.ended) > lingerDays*24*time.Hour
}
