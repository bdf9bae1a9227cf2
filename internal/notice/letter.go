// Package notice is what people and programs are told, as bytes: mails in text
// and HTML. The same letter always gives the same bytes.
package notice

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Kind is the kind of letter.
type Kind string

// The kinds of letter.
const (
	Calls  Kind = "calls"  // the due calls of one person and day
	Passed Kind = "passed" // a call that nobody answered, for the next person
	Ops    Kind = "ops"    // something the ops person must look after
	Test   Kind = "test"   // asked for by test-mail
)

// Letter is everything that a mail says, as values; it is stored as JSON.
type Letter struct {
	ID          string      `json:"id"`               // stable; the Message-ID is <ID@Domain>
	Thread      []string    `json:"thread,omitempty"` // IDs of the earlier letters of the same call, oldest first
	Kind        Kind        `json:"kind"`
	Programme   string      `json:"programme"` // its name, as people know it
	Domain      string      `json:"domain"`    // of Message-ID
	From        string      `json:"from"`      // address
	FromName    string      `json:"from_name"`
	ReplyTo     string      `json:"reply_to,omitempty"`
	To          string      `json:"to"` // address
	ToName      string      `json:"to_name"`
	Lang        string      `json:"lang"`           // en
	At          time.Time   `json:"at"`             // when it was written: the Date field, in the person's zone
	Today       civil.Date  `json:"today"`          // the person's day of writing
	Late        bool        `json:"late,omitempty"` // told later than meant, after a pause of the program
	Coordinator Contact     `json:"coordinator,omitzero"`
	Items       []Item      `json:"items,omitempty"`
	Ribbons     Ribbons     `json:"ribbons,omitzero"`
	Reply       *Reply      `json:"reply,omitempty"`   // of a Receipt, Tap or Unread letter
	Week        *Overview   `json:"week,omitempty"`    // of a Weekly letter
	Change      *SiteChange `json:"change,omitempty"`  // of a Settings letter
	Trouble     []string    `json:"trouble,omitempty"` // of an Ops letter: sentences ending in what to do
}

// Ribbons is the colours, in words, that mark where a bag's mouth was; empty
// where the programme sets none.
type Ribbons struct {
	Selfing string `json:"selfing,omitempty"`
	Control string `json:"control,omitempty"`
}

// Contact is a person as printed in a letter.
type Contact struct {
	Name  string `json:"name"`
	Phone string `json:"phone,omitempty"`
	Role  string `json:"role,omitempty"` // site lead, site deputy, coordinator, coordinator's deputy
}

// Item is one call in a letter.
type Item struct {
	Site     string        `json:"site"` // code
	SiteName string        `json:"site_name"`
	Species  string        `json:"species,omitempty"` // of the site's trees, as the profile names it
	Task     call.Task     `json:"task"`
	Standing call.Standing `json:"standing"`
	Reason   call.Reason   `json:"reason"`           // why it is told now
	Days     civil.Range   `json:"days"`             // the days told
	CanGo    []civil.Date  `json:"can_go,omitempty"` // of these the days on which the person can go
	Best     civil.Date    `json:"best,omitempty"`   // the day of smallest expected loss among them
	Trees    []TreeNeed    `json:"trees,omitempty"`
	Replaces bool          `json:"replaces,omitempty"` // the bags to put on take the place of torn ones
	Second   bool          `json:"second,omitempty"`   // a second trip may be needed: leave unswollen trees for it
	Why      Why           `json:"why"`
	Link     string        `json:"link"`             // signed, opens the form
	Expires  civil.Date    `json:"expires"`          // last day on which the link works
	Passed   *PassedOn     `json:"passed,omitempty"` // set where the call was passed on
	Said     []Said        `json:"said,omitempty"`   // the reports that the coordinator is asked about
}

// Said is a report, and who sent it.
type Said struct {
	By     Contact      `json:"by"`
	Report trail.Report `json:"report"`
}

// TreeNeed is what one tree still needs.
type TreeNeed struct {
	Code    string `json:"code"`
	Short   string `json:"short"`
	Selfing int    `json:"selfing"` // bags still to put on; bags hanging, for take-off and picking
	Control int    `json:"control"`

	OnSelfing int `json:"on_selfing,omitempty"` // sound bags that hang already, where more are to be put on
	OnControl int `json:"on_control,omitempty"`

	DoubtfulSince civil.Date `json:"doubtful_since,omitempty"` // a bag was found torn then, after flowering had begun
}

// PassedOn is the story of a call that comes from somebody else.
type PassedOn struct {
	From    []Contact   `json:"from"` // who was asked before, in order
	AskedAt []time.Time `json:"asked_at"`
}

// Why is the ground of a call: heat, odds and station. A NaN-free struct: what
// isn't known is absent (zero Stage, zero date).
type Why struct {
	Stage       stage.BBCH `json:"stage"` // whose heat is meant
	StageName   string     `json:"stage_name"`
	HeatCd      float64    `json:"heat_cd"` // collected so far
	NeedCd      float64    `json:"need_cd"` // median need
	BaseC       float64    `json:"base_c"`
	Since       civil.Date `json:"since"` // start of the sum
	P10         civil.Date `json:"p10,omitempty"`
	P50         civil.Date `json:"p50,omitempty"`
	P90         civil.Date `json:"p90,omitempty"`
	GoOn        civil.Date `json:"go_on,omitempty"`    // odds of going on this day …
	GoLate      float64    `json:"go_late"`            // share of trees too late
	GoEarly     float64    `json:"go_early"`           // share of bags that hang too long; seed unripe
	WaitFor     civil.Date `json:"wait_for,omitempty"` // … against waiting until that one
	WaitLate    float64    `json:"wait_late"`
	WaitEarly   float64    `json:"wait_early"`
	Earliest    float64    `json:"earliest"`         // chance that the earliest tree has already broken bud
	Within      int        `json:"within,omitempty"` // days of a check's or a lot's rule
	MaxLead     int        `json:"max_lead"`         // days that a bag may hang before flowering
	SeasonEnd   civil.Date `json:"season_end,omitempty"`
	Chance      float64    `json:"chance"`            // short season: of ripe seed before SeasonEnd; take off: that nothing sheds any more
	Reading     civil.Date `json:"reading,omitempty"` // last real reading
	Station     string     `json:"station,omitempty"` // its name
	DistanceKm  float64    `json:"distance_km"`
	HigherM     float64    `json:"higher_m"`               // site's altitude minus the station's, in metres
	StandsFor   string     `json:"stands_for,omitempty"`   // name of the site's own station, where Station stands in for it
	StandsSince civil.Date `json:"stands_since,omitempty"` // first day of which the site's own station has no usable reading
	Forecast    bool       `json:"forecast"`               // a short-range forecast was used
	Years       *PastYears `json:"years,omitempty"`        // that stand for the weather to come, where not only the site's own do
}
