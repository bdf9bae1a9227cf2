// Package trail is the trail from tree to seed lot: trees, what hangs on them,
// and what people report of them.
package trail

import (
	"time"

	"budcall/internal/civil"
)

// Tree is a selected tree of a site.
type Tree struct {
	Code  string // unique within the programme
	Short string // unique within the site, as written in replies: T3
	Gone  bool   // felled, dead or withdrawn: nothing is asked of it
}

// Kind is what a report or an answer says.
type Kind string

// Reports end calls; answers only stop reminders.
const (
	StageSeen     Kind = "stage seen"     // a stage, at the site
	NotYet        Kind = "not yet seen"   // a stage, at the site
	BagsOn        Kind = "bags on"        // a tree, selfing and control bags put on
	BagsOff       Kind = "bags off"       // a tree, all its bags
	Picked        Kind = "packets picked" // a tree, packets of selfing and control
	NothingToPick Kind = "nothing to pick"
	SeedBrown     Kind = "seed brown"
	SeedGreen     Kind = "seed green"
	KitArrived    Kind = "kit arrived"
	Understood    Kind = "understood" // the coordinator has seen it
	Going         Kind = "going"      // an answer, with the day in On
	CannotGo      Kind = "can't"      // an answer
)

// Answer reports whether k is only an answer and ends nothing.
func (k Kind) Answer() bool { return k == Going || k == CannotGo }

// Report is one thing that a person reported or answered. Reports are kept;
// a later one of the same tree and kind corrects an earlier one.
type Report struct {
	ID      int64      `json:"id"`
	Person  string     `json:"person"`
	Site    string     `json:"site"`
	Task    string     `json:"task,omitempty"` // the call it answers
	Kind    Kind       `json:"kind"`
	Tree    string     `json:"tree,omitempty"` // short name, empty for the whole site
	BBCH    int        `json:"bbch,omitempty"` // of StageSeen and NotYet
	Selfing int        `json:"selfing,omitempty"`
	Control int        `json:"control,omitempty"`
	Day     civil.Date `json:"day"`          // the day it was seen or done
	On      civil.Date `json:"on,omitempty"` // the day promised in Going
	At      time.Time  `json:"at"`           // when it reached us
	Way     string     `json:"way"`          // form, command
}
