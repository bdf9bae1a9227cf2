package season

import (
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// tell decides who must be told what about the task, beside what is owed
// already, and books it in its state, so that the same thing is never told
// twice.
//
// At once: hurry, look first, a first day learned too late for the evening
// before, a promise that wasn't kept, and passing on. Everything else waits
// for the evening.
func (v view) tell(next State, owed []Owed) (State, []Owed) {
	reason := v.owes(next)
	people := v.audience(next)
	switch {
	case reason == "":
		return next, owed
	case len(people) == 0 && (!next.Standing.Asks() || next.Told.Standing.Asks()):
		return next, owed
	case len(people) == 0: // said once, when it comes up
		people, reason = []string{""}, call.NobodyElseKnown
	}
	next.Serial++
	next.Told = call.Told{Standing: next.Standing, Days: next.Days, On: v.Day}
	for _, person := range people {
		owed = append(owed, Owed{Task: v.task, Standing: next.Standing, Reason: reason, Person: person, Serial: next.Serial})
	}
	if next.waits() || next.Standing.Asks() {
		next = v.ask(next, people[0])
	}
	return next, owed
}

// owes gives why the people concerned must be told now; empty if they need not.
func (v view) owes(next State) call.Reason {
	told := next.Told
	changed := next.Standing != told.Standing
	switch next.Standing {
	case call.Go, call.Hurry, call.LookFirst:
		switch {
		case v.broken(next):
			return call.PromisePast
		case v.task == call.LotExpected && next.Standing == call.Go && told.Standing.Asks():
			return "" // a lot that was overdue has come; others are under way
		case v.promised(next) && told.Standing.Asks() && next.Standing != call.LookFirst:
			return ""
		case changed && (v.Evening || v.atOnce(next)):
			return next.Reason
		}
	case call.Ahead, call.TooLate:
		switch {
		case changed && v.Evening && next.Standing == call.Ahead && told.Standing.Asks():
			return call.DaysMoved // whoever was to go must know that it isn't now
		case changed && v.Evening:
			return next.Reason
		}
	case call.NotNeeded:
		if changed && v.Evening && told.Standing != call.Quiet && !told.Standing.Ended() {
			return next.Reason
		}
	}
	planned := next.Standing == call.Ahead || next.Standing == call.Go && v.task != call.LotExpected
	if v.Evening && planned && !changed && v.near(told, next) && moved(told.Days, next, v.Day) >= v.Site.Settings.TellAgainAfter {
		return call.DaysMoved
	}
	return ""
}

// near tells whether days that moved are so near, as told or as they are now,
// that plans must change: what moves further off may well move back. Days that
// move to and fro are told again after a pause only, but for the last evenings
// before somebody who was called would set out in vain or too late.
func (v view) near(told call.Told, next State) bool {
	first, s := min(told.Days.First, next.Days.First), v.Site.Settings
	paused := v.Day >= told.On+civil.Date(s.TellAgainAfter)
	return first <= v.Day+1 && next.Standing != call.Ahead || paused && first <= v.Day+civil.Date(s.TellMovesWithin)
}

// atOnce tells whether a call that asks for something new can't wait for the
// evening.
func (v view) atOnce(next State) bool {
	switch {
	case next.Standing != call.Go:
		return true
	case v.task == call.ShortSeason, v.task == call.LotExpected: // a matter of weeks, or of a parcel's way
		return false
	}
	return next.Days.First <= v.Day && !next.Told.Standing.Asks()
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

// heard books that an answer or a report came since somebody was asked.
func (v view) heard(next State) State {
	if !next.Standing.Asks() || next.Level >= len(v.chain()) {
		next.AnswerBy = time.Time{}
		return next
	}
	if p, ok := v.promise(next); ok && p.At.After(next.AskedAt) {
		next.AnswerBy = time.Time{}
	}
	if r, ok := v.ledger.acted[v.task]; ok && r.At.After(next.AskedAt) {
		next.AnswerBy = time.Time{}
	}
	return next
}

// ask books that somebody has been told just now. Who is asked to act, and
// hasn't promised a day, is waited for.
func (v view) ask(next State, person string) State {
	next.AskedAt, next.AnswerBy = v.Now, time.Time{}
	if !next.Standing.Asks() || person == "" {
		return next
	}
	next.Asked = append(slices.Clone(next.Asked), Asking{Person: person, At: v.Now})
	waits := v.task != call.LotExpected || next.Standing == call.Hurry // of a parcel on its way nothing can be said
	if chain := v.chain(); next.Level < len(chain) && !v.promised(next) && waits {
		by := v.Now.Add(AnswerTime(v.Site, next.Days.Last, v.Now))
		next.AnswerBy = v.awake(by, chain[next.Level], next.Days.Last)
	}
	return next
}
