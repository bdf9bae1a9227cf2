// Package web is the pages: the season board and the form that the link in a
// mail opens. GET shows, POST stores, and neither needs JavaScript.
package web

import (
	"context"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Board is what the season board shows.
type Board struct {
	Programme string
	Season    int
	Now       time.Time // in the programme's zone
	Simulated bool      // the clock is a simulated one
	Sites     []BoardSite
	Trouble   []string      // what the ops person should know, no personal data
	Skill     []stage.Skill // of the season's forecasts over all stages, by lead
}

// BoardSite is one site on the board.
type BoardSite struct {
	Code, Name string
	AltitudeM  float64
	Station    string // name of the station last used
	Reading    civil.Date
	ReadingC   float64 // daily mean of it
	HeatCd     float64 // heat so far for bud break
	NeedCd     float64
	Stages     []BoardStage
	Calls      []BoardCall
	Told       []BoardTold
	Reports    []trail.Report // newest first
}

// BoardStage is one stage's forecast; zero dates are beyond the horizon.
type BoardStage struct {
	Code          stage.BBCH
	Name          string
	P10, P50, P90 civil.Date
	Seen          civil.Date    // reported seen on, zero if not
	Scores        []stage.Score // of its forecasts, once it is seen
}

// BoardCall is one call.
type BoardCall struct {
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Days     civil.Range
	With     string // name of the person who has it now, empty if nobody
	Answer   string // what was answered, in words, for where Reports doesn't hold it
}

// BoardTold is one thing that was told to somebody.
type BoardTold struct {
	At       time.Time
	To       string // name
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	State    string // of the mail: waiting, taken, dotted, sent, refused, given up; empty is not written yet
}

// Form is what the form of one call shows.
type Form struct {
	Claim    link.Claim
	Person   string // name
	Lang     string
	SiteName string
	Item     notice.Item    // the call as it stands now; Trees also holds those that need nothing more, so that they can be corrected
	Reports  []trail.Report // what is already known of this call, newest first
	Today    civil.Date
	Stranger bool // the person has nothing to do with the site, or not any more

	Photos    int   // that the person sent by a form within a day
	MaxUpload int64 // bytes of all photos that may come at once; 0: 25 MiB
}

// Store is what the pages need of the memory.
type Store interface {
	Board(ctx context.Context) (Board, error)
	// Form gives the form of a claim; found is false where the call or the
	// person is no longer known.
	Form(ctx context.Context, c link.Claim) (f Form, found bool, err error)
	// Report stores reports in one transaction; key makes it idempotent: the
	// same key again changes nothing and answers stored = false. At of the
	// reports is Now.
	Report(ctx context.Context, c link.Claim, key string, reports []trail.Report) (stored bool, err error)
	// ReportPhotos is Report for a form that came with photos; it may have no
	// reports. A photo that came with the same key before isn't stored again.
	ReportPhotos(ctx context.Context, c link.Claim, key string, s Sent) (stored bool, err error)
	// Turn gives how often a person's links were withdrawn; known is false where
	// nobody goes by that code any more.
	Turn(ctx context.Context, person string) (turn int, known bool, err error)
	// Now is the program's time (a simulated clock in rehearsals).
	Now(ctx context.Context) (time.Time, error)
}
