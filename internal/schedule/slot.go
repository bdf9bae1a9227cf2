package schedule

import (
	"time"

	"budcall/internal/civil"
)

// Slot is one occasion of a rule, told apart by its local date and nominal
// wall-clock time.
type Slot struct {
	Date    civil.Date
	Nominal string    // HH:MM as the rule says it, also where a clock change moved it
	At      time.Time // the moment it falls due
}

// Due lists the slots after last and not after now, oldest first, each later
// than the one before. At most limit are returned, the newest ones; skipped
// counts the older ones left out, so that a caller can report them and never
// loses them silently. A clock that went back gives none. It takes time in
// proportion to the slots between last and now: last is a real moment, such as
// the first start, and never the zero time.
func Due(r Rule, last, now time.Time, limit int) (due []Slot, skipped int) {
	w := r.walk(last)
	for s := w.next(); !s.At.IsZero() && !s.At.After(now); s = w.next() {
		due = append(due, s)
		if len(due) > max(limit, 0) {
			due = due[1:]
			skipped++
		}
	}
	return due, skipped
}

// walk goes from slot to slot. It walks the wall clock: nominal times are
// reckoned as if in UTC and then placed in the zone, in which their order
// stays, though some may fall together.
type walk struct {
	rule Rule
	wall time.Time // nominal time reached
	at   time.Time // moment reached
}

// walk begins after a moment. Every slot that falls due later has a nominal
// time beyond what the wall clock reads at that moment: had the clock reached
// it, it would have fallen due.
func (r Rule) walk(after time.Time) *walk {
	w := &walk{rule: r, at: after}
	if r.wall != nil {
		w.wall = nominal(after.In(r.loc))
	}
	return w
}

// next gives the next slot; one without a moment if there never is one.
func (w *walk) next() Slot {
	for !w.wall.IsZero() {
		if w.wall = w.rule.wall.Next(w.wall); w.wall.IsZero() {
			break
		}
		if at := place(w.wall, w.rule.loc); at.After(w.at) {
			w.at = at
			return Slot{Date: civil.At(w.wall), Nominal: w.wall.Format("15:04"), At: at}
		}
	}
	return Slot{}
}

// nominal is the wall-clock reading of t as a moment in UTC.
func nominal(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.UTC)
}

// place gives the first moment at which the zone's wall clock reads wall, or,
// where a clock change skips that reading, the first moment after the gap.
func place(wall time.Time, loc *time.Location) time.Time {
	y, m, d := wall.Date()
	t := time.Date(y, m, d, wall.Hour(), wall.Minute(), 0, 0, loc)
	start, end := t.ZoneBounds()
	if !nominal(t).Equal(wall) { // in a gap, and time.Date is free to choose a side
		if nominal(t).After(wall) && !start.IsZero() {
			return start.In(loc)
		}
		return end.In(loc)
	}
	// Of two equal readings time.Date is free to choose either: if this is the
	// second one, the first lies before the change, by as much as it is.
	if start.IsZero() {
		return t
	}
	_, before := start.Add(-time.Second).Zone()
	_, now := t.Zone()
	early := t.Add(time.Duration(now-before) * time.Second)
	if early.Before(start) && nominal(early.In(loc)).Equal(wall) {
		return early
	}
	return t
}
