package season

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// chain is the people that the task goes to, in order.
func (v view) chain() []Person {
	switch v.task {
	case call.SendKit, call.ShortSeason:
		return v.Site.Desk
	}
	return v.Site.Field
}

// holder is the person who has the task now; nobody where no one is known.
func (v view) holder() Person {
	chain := v.chain()
	if len(chain) == 0 {
		return Person{}
	}
	return chain[min(v.prev.Level, len(chain)-1)]
}

// level is the place in the chain of the person who has the task now: whoever
// has promised to go since it was last told has taken it. A task that comes up
// again after its end begins with the first, and one whose holder is no longer
// in the chain is left to the last.
func (v view) level() int {
	level := min(v.prev.Level, len(v.chain()))
	if v.prev.Level >= len(v.chain()) && !v.prev.AnswerBy.IsZero() {
		level = max(0, len(v.chain())-1)
	}
	if v.prev.Standing.Ended() {
		level = 0
	}
	return v.taker(level)
}

// taker is the place in the chain of whoever has promised to go since the task
// was last told, else the one given.
func (v view) taker(level int) int {
	p, ok := v.promise()
	if !ok || p.On < v.Day || !p.At.After(v.prev.AskedAt) {
		return level
	}
	if i := v.place(p.Person); i >= 0 {
		return i
	}
	return level
}

func (v view) place(person string) int {
	return slices.IndexFunc(v.chain(), func(p Person) bool { return p.Code == person })
}

// promise is the latest answer that names a day to go on, of those whose
// person hasn't answered otherwise since. A day before the one on which it
// was asked is none.
func (v view) promise() (p trail.Report, ok bool) {
	for _, a := range v.ledger.answers[v.task] {
		if a.Kind == trail.Going && a.On >= a.Day {
			p, ok = a, true
		}
	}
	return p, ok
}

// promised tells whether somebody has promised a day that isn't past and is
// soon enough.
func (v view) promised(next State) bool {
	p, ok := v.promise()
	return ok && v.reportBy(p) >= v.Day && (p.On <= next.Days.Last || v.Day > next.Days.Last)
}

// broken tells whether the person who has the task had promised a day, it is
// past, no report has come, and this hasn't been asked about yet.
func (v view) broken(next State) bool {
	p, ok := v.promise()
	due := v.reportBy(p)
	if !ok || due >= v.Day || next.Told.On > due {
		return false
	}
	if i := v.place(p.Person); i >= 0 && i != min(next.Level, len(v.chain())-1) {
		return false // somebody else has it by now
	}
	r, acted := v.ledger.acted[v.task]
	return !acted || r.Day < p.On
}

// reportBy is the day on which a promise should have led to a report: the
// kit's arrival can only be reported when it has been under way.
func (v view) reportBy(p trail.Report) civil.Date {
	if v.task == call.SendKit {
		return p.On + civil.Date(v.Site.Settings.TransitDays)
	}
	return p.On
}
