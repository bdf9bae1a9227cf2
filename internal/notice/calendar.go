package notice

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

// Calendar is what a person's calendar program is told: the calls that are
// that person's, each a run of whole days.
type Calendar struct {
	Programme string // its name, as people know it
	Domain    string // of the events' identifiers
	Lang      string
	Events    []Event
}

// Event is one call in a calendar.
type Event struct {
	ID       string // stable: the same for as long as the call is, whatever its days
	Site     string // code
	SiteName string
	Task     call.Task
	Standing call.Standing
	Days     civil.Range // the days told; a call without days is left out
	Trees    []string    // short names of those that need something
	Serial   int         // of what was told of the call; grows with every change
	Changed  time.Time   // when that was
}

// icsTime is a moment in UTC, icsDay a day, as RFC 5545 section 3.3 writes them.
const (
	icsTime = "20060102T150405Z"
	icsDay  = "20060102"
)

// refresh is how often a calendar program is asked to look again. What is
// urgent comes by mail; a calendar is never the way to be called.
const refresh = "PT6H"

// ICS gives the calendar as RFC 5545 text with RFC 7986's properties. It holds
// whole days only, so that no time zone is in it; it names no method, since it
// is subscribed to; and its stamps are those of the last change, so that the
// same calls give the same bytes.
func (c Calendar) ICS() ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("writing a calendar: %w", err)
	}
	w := &icsWriter{}
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//Budcall//Calls//EN")
	w.line("CALSCALE", "GREGORIAN")
	w.text("NAME", c.Programme)
	w.text("X-WR-CALNAME", c.Programme) // of programs older than RFC 7986
	w.line("REFRESH-INTERVAL;VALUE=DURATION", refresh)
	w.line("X-PUBLISHED-TTL", refresh)
	events := slices.DeleteFunc(slices.Clone(c.Events), func(e Event) bool { return e.Days.Len() == 0 })
	slices.SortFunc(events, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.Days.First, b.Days.First), cmp.Compare(a.ID, b.ID))
	})
	for _, e := range events {
		c.event(w, e)
	}
	if len(events) == 0 {
		w.nothing()
	}
	w.line("END", "VCALENDAR")
	return []byte(w.String()), nil
}

// check refuses what a calendar program would mix up or not read.
func (c Calendar) check() error {
	if !isDotAtom(c.Domain) {
		return fmt.Errorf("domain %q can't stand in an identifier: give a host name such as mail.example.org", c.Domain)
	}
	seen := map[string]bool{}
	for _, e := range c.Events {
		switch {
		case !isDotAtom(e.ID):
			return fmt.Errorf("%q can't be an identifier: letters, digits and . - _ without blanks", e.ID)
		case seen[e.ID]:
			return fmt.Errorf("two calls are called %s: give each its own identifier", e.ID)
		case e.Serial < 0 || e.Changed.IsZero():
			return fmt.Errorf("%s lacks its serial or the time of its change: give both", e.ID)
		}
		seen[e.ID] = true
	}
	return nil
}

// event writes one call. Its end is the day after the last one (RFC 5545
// section 3.6.1: DTEND isn't part of the event).
func (c Calendar) event(w *icsWriter, e Event) {
	texts := words.For(c.Lang)
	changed := e.Changed.UTC().Format(icsTime)
	w.line("BEGIN", "VEVENT")
	w.line("UID", e.ID+"@"+c.Domain)
	w.line("SEQUENCE", fmt.Sprint(e.Serial))
	w.line("DTSTAMP", changed)
	w.line("LAST-MODIFIED", changed)
	w.line("DTSTART;VALUE=DATE", e.Days.First.Midnight().Format(icsDay))
	w.line("DTEND;VALUE=DATE", (e.Days.Last + 1).Midnight().Format(icsDay))
	w.line("STATUS", status(e.Standing))
	w.line("TRANSP", "TRANSPARENT") // whoever may go on one of five days isn't busy on all of them
	site := cmp.Or(e.SiteName, e.Site)
	w.text("SUMMARY", texts.TaskAt(e.Task, site))
	w.text("LOCATION", site)
	said := []string{texts.Standing(e.Standing), texts.Days(e.Days)}
	if len(e.Trees) > 0 {
		said = append(said, strings.Join(e.Trees, " "))
	}
	w.text("DESCRIPTION", said...)
	w.line("END", "VEVENT")
}

// status gives how sure a calendar program is to show a call. One that is over
// is withdrawn, so that it vanishes and nobody goes.
func status(s call.Standing) string {
	switch {
	case s.Ended():
		return "CANCELLED"
	case s.Asks():
		return "CONFIRMED"
	}
	return "TENTATIVE"
}
