package season

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/trail"
)

// passes gives why the task must go to the next person now; empty if it stays.
// Who can't go is taken at their word while the days are still coming, too.
func (v view) passes(next State) call.Reason {
	asks := next.Standing.Asks() && len(next.Asked) > 0
	planned := next.Standing == call.Ahead && next.Told.Standing == call.Ahead
	switch {
	case !asks && !planned, next.Level >= len(v.chain()):
		return ""
	case v.cannot(next):
		return call.CannotGo
	case next.AnswerBy.IsZero():
		return ""
	case v.Returned[v.task].After(next.AskedAt):
		return call.MailReturned
	case !v.Now.Before(next.AnswerBy):
		return call.AnswerOverdue
	}
	return ""
}

// cannot tells whether the person who has the task has said, since they were
// told, that they can't go, or somebody outside the chain has for them. What
// others in the chain can't do is no matter.
func (v view) cannot(next State) bool {
	for _, a := range v.ledger.answers[v.task] {
		if a.Kind == trail.CannotGo && a.At.After(next.AskedAt) && (a.Person == v.holder().Code || v.place(a.Person) < 0) {
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
