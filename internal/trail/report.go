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
	BagsFine      Kind = "bags fine"      // a tree, or every tree of the site: looked at, whole
	BagsTorn      Kind = "bags torn"      // a tree, Selfing and Control torn; both 0: not said how many
	BagsOff       Kind = "bags off"       // a tree, all its bags; no tree: all of the site
	Picked        Kind = "packets picked" // a tree, packets of selfing and control
	NothingToPick Kind = "nothing to pick"
	SeedBrown     Kind = "seed brown"
	SeedGreen     Kind = "seed green"
	KitArrived    Kind = "kit arrived"
	CatkinsSeen   Kind = "catkins seen"  // a tree bears them this year, Count of them where counted
	NoCatkins     Kind = "no catkins"    // a tree, or every tree of the site, bears none this year
	LotReceived   Kind = "lot received"  // a tree's packets, Selfing and Control, at the laboratory
	Problem       Kind = "problem"       // anything else, in Note
	Understood    Kind = "understood"    // the coordinator has seen it
	Going         Kind = "going"         // an answer, with the day in On
	CannotGo      Kind = "can't"         // an answer
	Away          Kind = "away"          // an answer: not there from On to Until
	Unsafe        Kind = "unsafe"        // an answer: nobody can go without danger
	NoPermission  Kind = "no permission" // an answer: the landowner or an authority doesn't allow it
)

// MostBags is the most bags, or packets, of a kind on one tree that a form or a
// mail is believed; more is a slip of the finger (common practice, no source).
const MostBags = 12

// Kinds gives every kind.
func Kinds() []Kind {
	return []Kind{
		StageSeen, NotYet, BagsOn, BagsFine, BagsTorn, BagsOff, Picked, NothingToPick, SeedBrown, SeedGreen, KitArrived,
		CatkinsSeen, NoCatkins, LotReceived, Problem, Understood, Going, CannotGo, Away, Unsafe, NoPermission,
	}
}

// Answer reports whether k is only an answer and ends nothing.
func (k Kind) Answer() bool {
	switch k {
	case Going, CannotGo, Away, Unsafe, NoPermission:
		return true
	}
	return false
}

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
	Day     civil.Date `json:"day"`             // the day it was seen or done
	Count   int        `json:"count,omitempty"` // catkins, of CatkinsSeen; 0: not counted
	On      civil.Date `json:"on,omitempty"`    // the day promised in Going, the first of Away
	Until   civil.Date `json:"until,omitempty"` // the last day of Away
	Note    string     `json:"note,omitempty"`  // of Problem, in the words of who sent it
	At      time.Time  `json:"at"`              // when it reached us
	Way     string     `json:"way"`             // form, command, mail, table
}
