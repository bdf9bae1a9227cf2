package season

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// tell decides who must be told what about the task, and books it in its
// state, so that the same thing is never told twice.
//
// At once: hurry, look first, a first day learned too late for the evening
// before, a promise that wasn't kept, and passing on. Everything else waits
// for the evening.
func (v view) tell(next State) (State, []Owed) {
	next = v.heard(next)
	var owed []Owed
	if reason := v.passes(next); reason != "" {
		if next.Level < len(v.chain())-1 {
			return v.passOn(next, reason)
		}
		next, owed = v.nobodyLeft(next)
	}
	reason := v.owes(next)
	if reason == "" {
		return next, owed
	}
	next.Serial++
	next.Told = call.Told{Standing: next.Standing, Days: next.Days, On: v.Day}
	for _, person := range v.audience(next) {
		owed = append(owed, Owed{
			Task: v.task, Standing: next.Standing, Reason: reason,
			Person: person, Passed: next.Level > 0, Serial: next.Serial,
		})
	}
	if next.Standing.Asks() && len(owed) > 0 {
		next = v.ask(next, owed[len(owed)-1].Person)
	}
	return next, owed
}

// owes gives why the people concerned must be told now; empty if they need not.
func (v view) owes(next State) call.Reason {
	told, s := v.prev.Told, v.Site.Settings
	changed := next.Standing != told.Standing
	promise, promised := v.promise()
	waits := promised && promise >= v.Day && promise <= next.Days.Last
	switch next.Standing {
	case call.Go, call.Hurry, call.LookFirst:
		switch {
		case promised && promise < v.Day && told.On <= promise:
			return call.PromisePast
		case waits && told.Standing.Asks():
			return ""
		case changed && (next.Standing != call.Go || v.Evening || next.Days.First <= v.Day && !told.Standing.Asks()):
			return next.Reason
		}
	case call.Ahead, call.TooLate:
		if changed && v.Evening {
			return next.Reason
		}
	case call.NotNeeded:
		if changed && v.Evening && told.Standing != call.Quiet && !told.Standing.Ended() {
			return next.Reason
		}
	}
	planned := next.Standing == call.Ahead || next.Standing == call.Go
	if v.Evening && planned && !changed && moved(told.Days, next, v.Day) >= s.TellAgainAfter {
		return call.DaysMoved
	}
	return ""
}

// moved is by how many days the days told have moved: their first day while
// it is ahead, else their last.
func moved(told civil.Range, next State, today civil.Date) int {
	last := abs(int(next.Days.Last - told.Last))
	if next.Standing == call.Ahead && told.First > today {
		return max(last, abs(int(next.Days.First-told.First)))
	}
	return last
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// audience is who is told: the person who has the task; the coordinator as
// well when a window is lost.
func (v view) audience(next State) []string {
	chain := v.chain()
	if len(chain) == 0 {
		return nil
	}
	people := []string{chain[min(next.Level, len(chain)-1)].Code}
	if next.Standing == call.TooLate && len(v.Site.Desk) > 0 && v.Site.Desk[0].Code != people[0] {
		people = append(people, v.Site.Desk[0].Code)
	}
	return people
}

// promise is the day on which the latest answer said somebody would go.
func (v view) promise() (civil.Date, bool) {
	a, ok := v.ledger.answered[v.task]
	return a.On, ok && a.Kind == trail.Going
}

// heard books that an answer or a report came since somebody was asked.
func (v view) heard(next State) State {
	if !next.Standing.Asks() {
		next.AnswerBy = time.Time{}
		return next
	}
	answer, ok := v.ledger.answered[v.task]
	if ok && answer.Kind == trail.Going && answer.At.After(next.AskedAt) {
		next.AnswerBy = time.Time{}
	}
	if r, ok := v.ledger.acted[v.task]; ok && r.At.After(next.AskedAt) {
		next.AnswerBy = time.Time{}
	}
	return next
}

// ask books that somebody has been asked just now.
func (v view) ask(next State, person string) State {
	next.AskedAt = v.Now
	next.AnswerBy = v.Now.Add(AnswerTime(v.Site, next.Days.Last, v.Now))
	if next.Level >= len(v.chain()) { // everybody has been asked before
		next.AnswerBy = time.Time{}
	}
	next.Asked = append(append([]Asking(nil), next.Asked...), Asking{Person: person, At: v.Now})
	return next
}
