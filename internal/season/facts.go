package season

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Site is what the calls need to know of a site.
type Site struct {
	Code     string
	Season   int // year
	LatDeg   float64
	LonDeg   float64
	Trees    []trail.Tree
	Settings Settings
	Field    []Person // whom tasks at the trees go to, in order: lead, deputy, coordinator, coordinator's deputy
	Desk     []Person // whom tasks at the desk go to, in order: coordinator, coordinator's deputy
	Lab      []Person // whom lots go to, in order: laboratory, coordinator, coordinator's deputy
}

// Person is somebody who can be asked, by code.
type Person struct {
	Code  string
	CanGo Weekdays
	Away  []civil.Range  // known absences; those that the person answers come on top
	Zone  *time.Location // whose night is the person's; nil: that of Facts.Now
}

// Forecast is the day distributions of a season as issued on a day, truncated
// by what was reported, and the reports that end days by themselves.
type Forecast struct {
	Swelling  ensemble.Days // BBCH 01
	Break     ensemble.Days // BBCH 07, of the site's trees together
	Earliest  ensemble.Days // BBCH 07, of the site's earliest tree
	Flowering ensemble.Days // BBCH 60
	Over      ensemble.Days // BBCH 69 in the district
	Ripe      ensemble.Days // BBCH 89
	Shed      ensemble.Days // half of the seed gone
	BreakSeen civil.Date    // 07 reported and not taken back by a later "still closed"
	LastLook  civil.Date    // latest day on which buds were reported still closed
}

// State is a call as it is stored: how it stands, what was told of it, who has
// it now and until when an answer is waited for.
type State struct {
	Standing call.Standing `json:"standing,omitempty"`
	Reason   call.Reason   `json:"reason,omitempty"`
	Days     civil.Range   `json:"days,omitzero"`
	Best     civil.Date    `json:"best,omitempty"`  // possible day of smallest expected loss
	Since    civil.Date    `json:"since,omitempty"` // day on which the standing began
	Told     call.Told     `json:"told,omitzero"`
	Level    int           `json:"level,omitempty"`    // place in the chain of people that has it; its length: nobody is left
	AskedAt  time.Time     `json:"asked_at,omitzero"`  // when that person was last told
	AnswerBy time.Time     `json:"answer_by,omitzero"` // zero: no answer is waited for
	Asked    []Asking      `json:"asked,omitempty"`    // everybody who was asked, in order
	Serial   int           `json:"serial,omitempty"`   // counts what was told: the key of a notice
	Raised   int64         `json:"raised,omitempty"`   // newest report that the coordinator was asked about
}

// Near tells whether a call hasn't ended and a day lies within its days, or so
// many days before or after them.
func (s State) Near(day, before, after civil.Date) bool {
	return s.Days.Len() > 0 && !s.Standing.Ended() && day >= s.Days.First-before && day <= s.Days.Last+after
}

// Asking is that somebody was asked, and when.
type Asking struct {
	Person string    `json:"person"`
	At     time.Time `json:"at"`
}

// Facts is everything that a decision rests on. Nothing in it is later than Now.
type Facts struct {
	Site     Site
	Now      time.Time  // moment of the decision
	Day      civil.Date // today at the site
	Evening  bool       // the evening's telling: what can wait for it is told now
	Forecast Forecast
	Reports  []trail.Report          // of this season, in the order in which they came
	Calls    map[call.Task]State     // as stored; absent is Quiet
	Returned map[call.Task]time.Time // when a mail about it was refused for good
	Winds    []weather.Wind          // of this season, as far as they are known or foreseen, by day
	Blind    bool                    // the site's own station is silent, so that others stand in for it
}

// Owed is that somebody must be told something.
type Owed struct {
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Person   string  // code
	Passed   bool    // it comes to this person from somebody else
	Serial   int     // of the call, so that the same thing is never owed twice
	About    []int64 // IDs of the reports that it is about, where it is about some
}

// Outcome is what Decide found: the calls as they must be stored, and what is
// owed because of it.
type Outcome struct {
	Calls map[call.Task]State
	Owed  []Owed
}
