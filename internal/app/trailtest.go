package app

import (
	"fmt"

	"budcall/internal/trail"
)

// checkTest refuses what was tested of seed where it can't be, or where it may
// be what is known already, before it is stored.
func (f Followed) checkTest(c trail.Code, e trail.Entry) error {
	results, history := f.tested(c)
	if results == nil || e.Check() != nil {
		return nil // refused by what is wrong with the entry itself
	}
	switch e.Kind {
	case trail.LabFilled, trail.LabSown:
		return another(e, history)
	case trail.LabCounted:
		if len(results.Germination) == 0 {
			return fmt.Errorf("no germination test of %s was begun, so none can be counted: enter the sowing first, with `budcall lab sow`", c)
		}
		if why := results.Germination[len(results.Germination)-1].Fits(*e.Counted, e.Day); why != "" {
			return fmt.Errorf("%s of %s: %s; nothing was stored: correct the day (--day) or the numbers", e.Kind, c, why)
		}
	}
	return nil
}

// tested gives what the laboratory knows of a lot, or of seed that is unplaced,
// and its history.
func (f Followed) tested(c trail.Code) (*trail.Laboratory, []trail.Line) {
	if c.What() == trail.Unplaced {
		if u := f.Waiting(c.String()); u != nil {
			return u.Results, u.History
		}
		return nil, nil
	}
	if l := f.Lot(c.Tree, c.Kind); l != nil && c.What() == trail.ALot {
		return l.Results, l.History
	}
	return nil, nil
}

// another refuses a second test of the same kind that isn't said to be one:
// it may correct the first, or be it once more, and would be added to it. The
// very same command again is no second test, and is stored once.
func another(e trail.Entry, history []trail.Line) error {
	var first *trail.Entry
	for _, l := range history {
		if l.Entry == nil || l.Entry.Kind != e.Kind || l.Withdrawn || l.Unused != "" {
			continue
		}
		if entryKey(*l.Entry) == entryKey(e) {
			return nil
		}
		first = l.Entry
	}
	if first == nil || e.Another {
		return nil
	}
	return fmt.Errorf("%s has %s in entry %d of %s, by %s: nothing was stored; if this is another sample beside it, give --another; if it corrects it, first withdraw that: budcall lab withdraw %d --why REASON --person CODE",
		e.Subject, testSaid(*first), first.ID, first.Day, first.Person, first.ID)
}

// testSaid says what a test was of.
func testSaid(e trail.Entry) string {
	if e.Kind == trail.LabSown {
		return fmt.Sprintf("a germination test, %d replicates,", len(e.Sown.Seeds))
	}
	return fmt.Sprintf("%d filled of %d seeds", e.Filled.Filled, e.Filled.Tested)
}
