package season

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// possible tells on which days a person can go: their days of the week, less
// the days on which they are away.
func (v view) possible(p Person) func(civil.Date) bool {
	return func(d civil.Date) bool { return p.CanGo.Has(d) && !v.away(p, d) }
}

// away tells whether a person is away on a day, as configured or answered.
func (v view) away(p Person, d civil.Date) bool {
	for _, days := range [][]civil.Range{p.Away, v.ledger.away[p.Code]} {
		for _, r := range days {
			if r.Has(d) {
				return true
			}
		}
	}
	return false
}

// absent tells whether a person can't be asked to act, being away today. Who has
// promised a day is there, and of days to come everybody may be told.
func (v view) absent(p Person, next State) bool {
	for _, a := range v.ledger.answers[v.task] {
		if a.Person == p.Code && promises(a) && a.On >= v.Day {
			return false
		}
	}
	return next.Standing.Asks() && v.away(p, v.Day)
}

// present is the first place in the chain from one on whose person can be
// asked; ok is false where there is none.
func (v view) present(from int, next State) (place int, ok bool) {
	for i, p := range v.chain() {
		if i >= from && !v.absent(p, next) {
			return i, true
		}
	}
	return 0, false
}

// settle gives the task, as long as nobody has it, to the first in the chain
// who isn't away; to the one it is with where all are, since somebody must be
// told. unsettled is the state to keep unless that one is told: what somebody
// else can do leaves no mark until then. Where the days of the other person are
// still to come, they are for the one it is with, too.
func (v *view) settle(next State) (settled State, unsettled *State) {
	if has(next) || !next.Standing.Asks() {
		return next, nil
	}
	place, ok := v.present(next.Level, next)
	if !ok || place == next.Level {
		return next, nil
	}
	kept := v.prev
	v.prev.Level, v.prev.Best = place, 0
	settled = v.heard(v.stand())
	if settled.Standing.Asks() {
		next.Standing, next.Reason = settled.Standing, settled.Reason
		return settled, &next
	}
	v.prev = kept
	next.Standing, next.Reason, next.AnswerBy = call.Ahead, call.DaysComing, time.Time{}
	return next, nil
}

// has tells whether somebody was told of the task as it stands.
func has(next State) bool {
	if next.Standing == call.Ahead {
		return next.Told.Standing == call.Ahead
	}
	return next.Standing.Asks() && next.Told.Standing.Asks()
}
