package season

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// Chain gives the people that a task goes to, in order.
func (s Site) Chain(task call.Task) []Person {
	switch task {
	case call.SendKit, call.ShortSeason:
		return s.Desk
	case call.LotExpected:
		return s.Lab
	}
	return s.Field
}

// chain is the people that the task goes to, in order.
func (v view) chain() []Person { return v.Site.Chain(v.task) }

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

// taker is the place in the chain of whoever was the last to promise to go
// since the task was last told, else the one given.
func (v view) taker(level int) int {
	for _, a := range v.ledger.answers[v.task] {
		if i := v.place(a.Person); i >= 0 && promises(a) && a.On >= v.Day && a.At.After(v.prev.AskedAt) {
			level = i
		}
	}
	return level
}

// place is where a person stands in the chain; below zero where nowhere.
func (v view) place(person string) int {
	return slices.IndexFunc(v.chain(), func(p Person) bool { return p.Code == person })
}

// promises tells whether an answer names a day to go on; one that was past
// when it was named is none.
func promises(a trail.Report) bool { return a.Kind == trail.Going && a.On >= a.Day }

// promise is the day that the person who has the task has promised, and not
// taken back since. A word from somebody outside the chain stands for theirs.
func (v view) promise(next State) (p trail.Report, ok bool) {
	holder := min(next.Level, len(v.chain())-1)
	for _, a := range v.ledger.answers[v.task] {
		if i := v.place(a.Person); promises(a) && (i < 0 || i == holder) {
			p, ok = a, true
		}
	}
	return p, ok
}

// promised tells whether a promise stands whose day isn't past and is soon
// enough.
func (v view) promised(next State) bool {
	p, ok := v.promise(next)
	return ok && !v.kept(p) && v.reportBy(p) >= v.Day && (p.On <= next.Days.Last || v.Day > next.Days.Last)
}

// broken tells whether the day that was promised is past, no report has come,
// and this hasn't been asked about yet.
func (v view) broken(next State) bool {
	p, ok := v.promise(next)
	due := v.reportBy(p)
	return ok && !v.kept(p) && due < v.Day && next.Told.On <= due
}

// kept tells whether there is a report of the day that was promised, or a later
// one; not everything need be done.
func (v view) kept(p trail.Report) bool {
	r, acted := v.ledger.acted[v.task]
	return acted && r.Day >= p.On
}

// reportBy is the day on which a promise should have led to a report: the
// kit's arrival can only be reported when it has been under way.
func (v view) reportBy(p trail.Report) civil.Date {
	if v.task == call.SendKit {
		return p.On + civil.Date(v.Site.Settings.TransitDays)
	}
	return p.On
}
