package season

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/trail"
)

// passes gives why the task must go on now, and to which place in the chain,
// its length where nobody is left; no reason if it stays. Who can't go is taken
// at their word while the days are still coming, too.
func (v view) passes(next State) (why call.Reason, to int) {
	asks := next.Standing.Asks() && len(next.Asked) > 0
	planned := next.Standing == call.Ahead && next.Told.Standing == call.Ahead
	if !asks && !planned || next.Level >= len(v.chain()) {
		return "", 0
	}
	if why, to := v.barred(next); why != "" {
		return why, to
	}
	after, ok := v.present(next.Level+1, next)
	if !ok {
		after = next.Level + 1 // all of them are away, but somebody must be told
	}
	switch {
	case v.cannot(next):
		return call.CannotGo, after
	case ok && v.absent(v.holder(), next):
		return call.IsAway, after
	case next.AnswerBy.IsZero():
		return "", 0
	case v.Returned[v.task].After(next.AskedAt):
		return call.MailReturned, after
	case !v.Now.Before(next.AnswerBy):
		return call.AnswerOverdue, after
	}
	return "", 0
}

// barred tells whether somebody has said since the task was told that nobody
// can go without danger, or that going isn't allowed. That is for the
// coordinator, since a deputy would meet the same.
func (v view) barred(next State) (why call.Reason, to int) {
	to = len(v.chain())
	for _, p := range v.Site.Desk {
		if i := v.place(p.Code); i > next.Level {
			to = min(to, i)
		}
	}
	if there, ok := v.present(to, next); ok { // not while they are away
		to = there
	}
	for _, a := range v.answeredSince(next, trail.Unsafe, trail.NoPermission) {
		if to == len(v.chain()) && a.Person != v.holder().Code && v.place(a.Person) >= 0 {
			continue // the coordinator has it
		}
		why = call.Unsafe
		if a.Kind == trail.NoPermission {
			why = call.NoPermission
		}
	}
	return why, to
}

// cannot tells whether the person who has the task has said, since they were
// told, that they can't go, or somebody outside the chain has for them. What
// others in the chain can't do is no matter.
func (v view) cannot(next State) bool {
	for _, a := range v.answeredSince(next, trail.CannotGo) {
		if a.Person == v.holder().Code || v.place(a.Person) < 0 {
			return true
		}
	}
	for _, a := range v.answeredSince(next, trail.Away) { // all of the days that were told
		if a.Person == v.holder().Code && next.Standing == call.Ahead && a.On <= next.Told.Days.First && a.Until >= next.Told.Days.Last {
			return true
		}
	}
	return false
}

// passOn tells the next person, who has the task now.
func (v view) passOn(next State, reason call.Reason) (State, []Owed) {
	next.Serial++
	person := v.chain()[next.Level].Code
	next.Told = call.Told{Standing: next.Standing, Days: next.Days, On: v.Day}
	owed := Owed{Task: v.task, Standing: next.Standing, Reason: reason, Person: person, Passed: true, Serial: next.Serial}
	return v.ask(next, person), []Owed{owed}
}

// nobodyLeft says, once, that everybody in the chain was asked in vain: owed
// to nobody in particular, so that whoever runs the program hears of it. The
// last person goes on being told how the call stands.
func (v view) nobodyLeft(next State) (State, []Owed) {
	next.Level = len(v.chain())
	next.Serial++
	next.AskedAt, next.AnswerBy = v.Now, time.Time{}
	return next, []Owed{{Task: v.task, Standing: next.Standing, Reason: call.NobodyElseKnown, Passed: true, Serial: next.Serial}}
}
