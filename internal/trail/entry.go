package trail

import (
	"fmt"
	"math"
	"strings"
	"time"

	"budcall/internal/civil"
)

// EntryKind is what an entry in the trail's book is of.
type EntryKind string

// The kinds of entry. What people report from the forest is a Report.
const (
	LabReceived   EntryKind = "received"            // packets came, Receipt
	LabPlaced     EntryKind = "placed"              // what was unplaced belongs to the lot Into
	LabWeighed    EntryKind = "weighed"             // Masses
	LabMoisture   EntryKind = "moisture"            // Moisture
	LabSeedWeight EntryKind = "seed weight"         // SeedWeight
	LabFilled     EntryKind = "filled seed"         // Filled
	LabSown       EntryKind = "germination begun"   // Sown
	LabCounted    EntryKind = "germination counted" // Counted
	LabStored     EntryKind = "stored"              // Store
	LabNoted      EntryKind = "note"                // Why says it
	LabAlias      EntryKind = "also called"         // the tree Subject is called Alias in old lists
	LabWithdrawn  EntryKind = "withdrawn"           // the entry Withdraws was a mistake
)

// EntryKinds lists them.
var EntryKinds = []EntryKind{
	LabReceived, LabPlaced, LabWeighed, LabMoisture, LabSeedWeight, LabFilled, LabSown, LabCounted, LabStored, LabNoted, LabAlias, LabWithdrawn,
}

// Entry is one thing written into the trail's book, mostly by the laboratory.
// Entries are kept for ever; a wrong one is withdrawn by another, and of what
// can be only one thing (a mass, a moisture, a place) the latest holds.
type Entry struct {
	ID      int64      `json:"id"`
	Season  int        `json:"season"` // of the seed it is about
	Kind    EntryKind  `json:"kind"`
	Subject string     `json:"subject"` // code of the lot, tree or unplaced seed; empty for a receipt that matched nothing
	Person  string     `json:"person"`
	Day     civil.Date `json:"day"` // when it was done
	At      time.Time  `json:"at"`  // when it reached us
	Why     string     `json:"why,omitempty"`
	Way     string     `json:"way"` // command, table
	Data
}

// Data is what an entry holds beside who, when and why; of the pointers the one
// that its kind names is set.
type Data struct {
	Receipt    *Receipt    `json:"receipt,omitempty"`
	Into       string      `json:"into,omitempty"` // code of the lot
	Masses     *Masses     `json:"masses,omitempty"`
	Moisture   *Moisture   `json:"moisture,omitempty"`
	SeedWeight *SeedWeight `json:"seed_weight,omitempty"`
	Filled     *Filled     `json:"filled,omitempty"`
	Sown       *Sown       `json:"sown,omitempty"`
	Counted    *Counted    `json:"counted,omitempty"`
	Store      string      `json:"store,omitempty"`
	Alias      string      `json:"alias,omitempty"`
	Withdraws  int64       `json:"withdraws,omitempty"` // ID of an entry
	Another    bool        `json:"another,omitempty"`   // of filled seed and sowing: another sample beside what is known of the lot, not the same once more
}

// Receipt is packets as they came to the laboratory.
type Receipt struct {
	Written   string  `json:"written"`             // the code as it stands on the packet
	Kind      BagKind `json:"kind,omitempty"`      // empty: not said
	Bags      []int   `json:"bags,omitempty"`      // numbers of the bags, where packets name them
	Packets   int     `json:"packets"`             // at least 1
	Condition string  `json:"condition,omitempty"` // in the words of who opened it
}

// Check refuses an entry that can't be right, and says what to do.
func (e Entry) Check() error {
	switch {
	case e.Person == "":
		return fmt.Errorf("nobody is named who did it: say who")
	case e.Day == 0:
		return fmt.Errorf("no day is given on which it was done: say which")
	}
	switch e.Kind {
	case LabReceived:
		return e.Receipt.check()
	case LabPlaced:
		return some(e.Into, "the lot that it belongs to isn't named")
	case LabWeighed:
		return e.Masses.check()
	case LabMoisture:
		return e.Moisture.check()
	case LabSeedWeight:
		return e.SeedWeight.check()
	case LabFilled:
		return e.Filled.check()
	case LabSown:
		return e.Sown.check()
	case LabCounted:
		return e.Counted.check()
	case LabStored:
		return some(e.Store, "the place isn't named")
	case LabNoted:
		return some(e.Why, "the note is empty")
	case LabAlias:
		return some(e.Alias, "the former code isn't named")
	case LabWithdrawn:
		if e.Withdraws <= 0 {
			return fmt.Errorf("the entry to withdraw isn't named: give its number, as the history shows it")
		}
		return some(e.Why, "it isn't said why the entry is withdrawn")
	}
	return fmt.Errorf("%q is no kind of entry", string(e.Kind))
}

func some(text, missing string) error {
	if strings.TrimSpace(text) == "" {
		return fmt.Errorf("%s: give it", missing)
	}
	return nil
}

func (r *Receipt) check() error {
	switch {
	case r == nil:
		return fmt.Errorf("it isn't said what came: give the code as written on the packet")
	case r.Packets < 1 || r.Packets > 999:
		return fmt.Errorf("%d packets can't have come: give 1 to 999", r.Packets)
	}
	return some(r.Written, "the code on the packet isn't given (where there is none, write what else is on it)")
}

// mass refuses a mass that no seed lot or sample has.
func mass(name string, grams float64) error {
	if !(grams > 0) || math.IsInf(grams, 0) || grams > 100_000 {
		return fmt.Errorf("%s of %g g can't be: give grams, above 0 and at most 100000", name, grams)
	}
	return nil
}
