package season_test

import (
	"fmt"
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// watcher holds each decision of a season to the rules.
type watcher struct {
	news       int // counts reports, answers and returned mails
	newsBefore int // at the decision before
	last       map[said]toldAt
	about      map[asked]bool     // what the coordinator was asked about
	nobody     map[call.Task]bool // it was said that nobody is left, since somebody had it
	faults     []string
}

// said is somebody being told of a task.
type said struct {
	task   call.Task
	person string
}

// toldAt is what was told last, and what was known then.
type toldAt struct {
	standing call.Standing
	reason   call.Reason
	days     civil.Range
	news     int
	since    civil.Date
}

func newWatcher() *watcher {
	return &watcher{last: map[said]toldAt{}, nobody: map[call.Task]bool{}, about: map[asked]bool{}}
}

func (w *watcher) fault(format string, args ...any) {
	w.faults = append(w.faults, fmt.Sprintf(format, args...))
}

func (w *watcher) watch(f season.Facts, out season.Outcome) []string {
	w.faults = nil
	for _, task := range call.Tasks {
		v := decided{facts: f, task: task, before: f.Calls[task], after: out.Calls[task]}
		for _, o := range out.Owed {
			if o.Task == task {
				v.owed = append(v.owed, o)
			}
		}
		w.serials(v)
		w.twice(v)
		w.occasion(v)
		w.ends(v)
		w.held(v)
		w.days(v)
		w.heard(v)
		w.rests(v)
		w.raised(v)
	}
	w.newsBefore = w.news
	return w.faults
}

// asked is an occasion on which the coordinator was asked: the call, and the
// newest report.
type asked struct {
	task   call.Task
	newest int64
}

// raises tells whether somebody is asked about reports, not told of a call.
func raises(o season.Owed) bool {
	return o.Reason == call.ReportsDiffer || o.Reason == call.ProblemReported || o.Reason == call.PacketsDiffer || o.Reason == call.ReportedEarly
}

// raised: the coordinator is asked about reports in the evening, once.
func (w *watcher) raised(v decided) {
	for _, o := range v.owed {
		if !raises(o) {
			continue
		}
		if !v.facts.Evening || len(o.About) == 0 || len(v.facts.Site.Desk) > 0 && o.Person != v.facts.Site.Desk[0].Code {
			w.fault("%s: asked about reports: %+v", v.task, o)
		}
		if newest := slices.Max(o.About); w.about[asked{v.task, newest}] {
			w.fault("%s: asked twice about report %d", v.task, newest)
		} else {
			w.about[asked{v.task, newest}] = true
		}
	}
}

// rests: nobody who is away is asked while somebody after them is there, and no
// time for an answer ends in the night unless the last day would be over.
func (w *watcher) rests(v decided) {
	chain, f := v.chain(), v.facts
	for _, o := range v.owed {
		at := slices.IndexFunc(chain, func(p season.Person) bool { return p.Code == o.Person })
		if at < 0 || raises(o) || !o.Standing.Asks() || !v.away(chain[at]) {
			continue
		}
		for _, p := range chain[at+1:] {
			if !v.away(p) {
				w.fault("%s: %s is away and asked before %s", v.task, o.Person, p.Code)
			}
		}
	}
	if by := v.after.AnswerBy; !by.IsZero() && v.after.AskedAt.Equal(f.Now) {
		_, ends, resting := f.Site.Settings.Rest(by.In(zone))
		if resting && civil.At(ends) <= v.after.Days.Last && season.Daylight(f.Site, ends, v.after.Days.Last) > 0 {
			w.fault("%s: the time for an answer ends by night, %s", v.task, by)
		}
	}
}

// away tells whether a person is away today and hasn't said that they go.
func (v decided) away(p season.Person) bool {
	absences, going := slices.Clone(p.Away), civil.Date(0)
	for _, r := range v.facts.Reports {
		switch {
		case r.Person != p.Code || !r.Kind.Answer():
			continue
		case r.Kind == trail.Away:
			absences = slices.DeleteFunc(absences, func(d civil.Range) bool {
				return d.First <= r.Until && r.On <= d.Last && !slices.Contains(p.Away, d)
			})
			absences = append(absences, civil.Range{First: r.On, Last: r.Until})
		}
		if v.ofTask(r) {
			going = 0
			if r.Kind == trail.Going && r.On >= r.Day {
				going = r.On
			}
		}
	}
	return going < v.facts.Day && slices.ContainsFunc(absences, func(d civil.Range) bool { return d.Has(v.facts.Day) })
}

// said tells whether anything of a kind was reported.
func (v decided) said(kind trail.Kind) bool {
	return slices.ContainsFunc(v.facts.Reports, func(r trail.Report) bool { return r.Kind == kind })
}

// decided is a decision on one task.
type decided struct {
	facts         season.Facts
	task          call.Task
	before, after season.State
	owed          []season.Owed
}

func (v decided) chain() []season.Person {
	switch v.task {
	case call.SendKit, call.ShortSeason:
		return v.facts.Site.Desk
	case call.LotExpected:
		return v.facts.Site.Lab
	}
	return v.facts.Site.Field
}

// taskOf is the task that a report which names none is on, by what it says.
var taskOf = map[trail.Kind]call.Task{
	trail.KitArrived: call.SendKit, trail.BagsOff: call.TakeOff, trail.SeedBrown: call.LookAtSeed, trail.SeedGreen: call.LookAtSeed,
	trail.Picked: call.PickSeed, trail.NothingToPick: call.PickSeed, trail.Understood: call.ShortSeason,
	trail.CatkinsSeen: call.SurveyTrees, trail.NoCatkins: call.SurveyTrees, trail.BagsFine: call.CheckBags, trail.BagsTorn: call.CheckBags,
	trail.LotReceived: call.LotExpected, trail.Away: call.BagOn, trail.Problem: call.BagOn,
	trail.BagsOn: call.BagOn, trail.StageSeen: call.BagOn, trail.NotYet: call.BagOn,
}

// ofTask tells whether a report is on the task.
func (v decided) ofTask(r trail.Report) bool {
	if r.Task != "" {
		return r.Task == string(v.task)
	}
	return taskOf[r.Kind] == v.task
}

// promised tells whether the latest word of anybody is a day that isn't past.
func (v decided) promised() bool {
	last := map[string]trail.Report{}
	for _, r := range v.facts.Reports {
		if r.Kind.Answer() && r.Task == string(v.task) {
			last[r.Person] = r
		}
	}
	transit := civil.Date(0)
	if v.task == call.SendKit {
		transit = civil.Date(v.facts.Site.Settings.TransitDays)
	}
	for _, r := range last {
		if r.Kind == trail.Going && r.On+transit >= v.facts.Day {
			return true
		}
	}
	return false
}

// shed is the chance that seed is shed by today, given what looks at it found:
// seed that was there wasn't shed; seed that was green, or brown, sheds with
// the trees that ripen as late, or as early.
func (v decided) shed() float64 {
	var brown, green civil.Date
	there := v.lookedOn()
	for _, r := range v.facts.Reports {
		switch r.Kind {
		case trail.SeedBrown:
			if brown == 0 || r.Day < brown {
				brown = r.Day
			}
		case trail.SeedGreen:
			green = max(green, r.Day)
			if r.Day >= brown {
				brown = 0
			}
		}
	}
	f, lo, hi := v.facts.Forecast, 0.0, 1.0
	if brown != 0 {
		hi = f.Ripe.On(brown)
		green = min(green, brown-1)
	}
	if green != 0 {
		lo = f.Ripe.On(green)
	}
	chance := func(d civil.Date) float64 {
		if hi-lo <= 1e-9 {
			return f.Shed.On(d)
		}
		return min(1, max(0, (f.Shed.On(d)-lo)/(hi-lo)))
	}
	if there == 0 {
		return chance(v.facts.Day)
	}
	switch before := chance(there); {
	case v.facts.Day <= there:
		return 0
	case before >= 1-1e-9:
		return 1
	default:
		return (chance(v.facts.Day) - before) / (1 - before)
	}
}

// lookedOn is the latest day on which there was seed to be seen.
func (v decided) lookedOn() (day civil.Date) {
	for _, r := range v.facts.Reports {
		if r.Kind == trail.SeedBrown || r.Kind == trail.SeedGreen {
			day = max(day, r.Day)
		}
	}
	return day
}

// serials: a serial grows with what is owed, and only then.
func (w *watcher) serials(v decided) {
	last := v.before.Serial
	for _, o := range v.owed {
		if o.Serial < last || o.Serial == v.before.Serial || o.Serial > v.after.Serial {
			w.fault("%s: serials %d to %d, owed %+v", v.task, v.before.Serial, v.after.Serial, v.owed)
		}
		last = o.Serial
	}
	if last != v.after.Serial {
		w.fault("%s: serial went from %d to %d with %+v owed", v.task, v.before.Serial, v.after.Serial, v.owed)
	}
}

// twice: nobody is told the same again with nothing new in between.
func (w *watcher) twice(v decided) {
	for _, o := range v.owed {
		if raises(o) {
			continue
		}
		key := said{v.task, o.Person}
		now := toldAt{standing: o.Standing, reason: o.Reason, days: v.after.Days, news: w.news, since: v.after.Since}
		if was, ok := w.last[key]; ok && was == now {
			w.fault("%s: %q is told the same twice: %+v", v.task, o.Person, now)
		}
		w.last[key] = now
		known := o.Person == "" || o.Standing == call.TooLate && o.Person == v.facts.Site.Desk[0].Code
		for _, p := range v.chain() {
			known = known || p.Code == o.Person
		}
		if !known || o.Standing == call.Quiet || o.Standing == call.Done {
			w.fault("%s: %+v is owed", v.task, o)
		}
	}
}

// occasion: what can wait does, for one mail an evening.
func (w *watcher) occasion(v decided) {
	evening := map[string]int{}
	for _, o := range v.owed {
		waits := !raises(o) && o.Reason == call.DaysMoved || o.Standing == call.Ahead || o.Standing.Ended()
		if waits && !o.Passed && !v.facts.Evening {
			w.fault("%s: %+v doesn't wait for the evening", v.task, o)
		}
		if !o.Passed && !raises(o) {
			evening[o.Person]++
		}
		if evening[o.Person] > 1 {
			w.fault("%s: %s is told twice at once", v.task, o.Person)
		}
	}
}

// ends: a call ends by a report, by time or as not needed, and is open again
// only with something new.
func (w *watcher) ends(v decided) {
	f, s := v.facts, v.facts.Site.Settings
	comesBack := v.task == call.LookAtBuds || v.task == call.CheckBags || v.task == call.BagOn && v.said(trail.BagsTorn)
	if v.before.Standing == call.Done && v.after.Standing != call.Done && w.news == w.newsBefore && !comesBack {
		w.fault("%s: done no more, with nothing new", v.task)
	}
	switch v.after.Standing {
	case call.Done:
		if !since(f.Reports, time.Time{}, func(r trail.Report) bool {
			return !r.Kind.Answer() && (v.ofTask(r) || v.task == call.LookAtBuds || v.task == call.CheckBags)
		}) {
			w.fault("%s: done without a report", v.task)
		}
		if v.task == call.BagOn {
			w.allBagged(v)
		}
	case call.TooLate:
		stayed := v.before.Standing == call.TooLate
		torn := v.task == call.BagOn && v.said(trail.BagsTorn) && (f.Forecast.Flowering.On(f.Day) >= s.TooLateChance || seen(f.Reports, stage.Flowering))
		green := v.task == call.BagOn && v.said(trail.StageSeen) // of each tree
		byTime := torn || green || v.task == call.BagOn && f.Forecast.Break.On(f.Day) >= s.TooLateChance || v.task == call.PickSeed && v.shed() >= s.TooLateChance
		if !stayed && !byTime && (v.task != call.BagOn || f.Forecast.BreakSeen == 0) {
			w.fault("%s: too late without a report or near certainty", v.task)
		}
	}
	if v.after.Standing.Ended() && !v.after.AnswerBy.IsZero() {
		w.fault("%s: has ended, and an answer is waited for", v.task)
	}
}

// seen tells whether a stage was seen and not taken back.
func seen(reports []trail.Report, code stage.BBCH) bool {
	return stage.BoundsOf(reports, code).Seen != 0
}

func (w *watcher) allBagged(v decided) {
	for _, tree := range v.facts.Site.Trees {
		var last trail.Report
		left, bare := false, false
		for _, r := range v.facts.Reports {
			ofTree := r.Tree == tree.Short
			switch {
			case r.Kind == trail.BagsOn && ofTree:
				last = r
			case r.Kind == trail.CatkinsSeen && (ofTree || r.Tree == ""):
				bare = false
			case r.Kind == trail.NoCatkins && (ofTree || r.Tree == ""):
				bare = true
			case r.Kind == trail.StageSeen && ofTree:
				left = true
			case r.Kind == trail.NotYet && ofTree:
				left = false
			}
		}
		if left || bare && last.Selfing+last.Control == 0 {
			continue
		}
		if !tree.Gone && (last.Selfing < v.facts.Site.Settings.MinSelfing || last.Control < v.facts.Site.Settings.MinControl) {
			w.fault("%s is done, but %s has %d+%d", v.task, tree.Short, last.Selfing, last.Control)
		}
	}
}

// held: what is asked of somebody is waited for, answered, or said to be
// without anybody; and time is left to pass it on.
func (w *watcher) held(v decided) {
	a := v.after
	for _, o := range v.owed {
		if o.Reason == call.NobodyElseKnown {
			w.nobody[v.task] = true
		}
	}
	heard := func() bool {
		return since(v.facts.Reports, a.AskedAt, func(r trail.Report) bool { return v.ofTask(r) && r.Kind != trail.CannotGo })
	}
	switch {
	case a.Level > len(v.chain()):
		w.fault("%s: level %d of %d", v.task, a.Level, len(v.chain()))
	case !a.AnswerBy.IsZero() && !a.AnswerBy.After(v.facts.Now):
		w.fault("%s: the time for an answer is over and nothing was done", v.task)
	case v.task == call.LotExpected && a.Standing == call.Go: // a parcel is on its way
	case !a.Standing.Asks() || !a.Told.Standing.Asks(), !a.AnswerBy.IsZero(), v.promised(), heard():
	case a.Level == len(v.chain()) && w.nobody[v.task]:
	default:
		w.fault("%s: is asked of somebody and nobody is waited for: %+v", v.task, a)
	}
	overdue := !v.before.AnswerBy.IsZero() && !v.facts.Now.Before(v.before.AnswerBy)
	if overdue && a.Standing.Asks() && len(v.owed) == 0 && !since(v.facts.Reports, v.before.AskedAt, v.ofTask) {
		w.fault("%s: an answer is overdue and the task stays", v.task)
	}
	asked := a.AskedAt.Equal(v.facts.Now) && !a.AnswerBy.IsZero() && v.facts.Day <= a.Days.Last
	if site := v.facts.Site; asked && season.Daylight(site, v.facts.Now, a.Days.Last) >= time.Hour && civil.At(a.AnswerBy.In(zone)) > a.Days.Last {
		w.fault("%s: an answer is waited for until %s, after the last day %s", v.task, a.AnswerBy, a.Days.Last)
	}
	if site := v.facts.Site; asked && season.Daylight(site, v.facts.Now, a.Days.Last) >= time.Hour && season.Daylight(site, a.AnswerBy, a.Days.Last) <= 0 {
		w.fault("%s: an answer is waited for until %s, the last day is %s", v.task, a.AnswerBy, a.Days.Last)
	}
}

// days: they exist, are told on the safe side, and small moves change nothing.
func (w *watcher) days(v decided) {
	a, f := v.after, v.facts
	if (a.Standing == call.Ahead || a.Standing == call.Go || a.Standing == call.Hurry) && a.Days.Len() < 1 {
		w.fault("%s: %q on days %s", v.task, a.Standing, a.Days)
	}
	safe, ok := f.Forecast.Break.LastAtMost(f.Site.Settings.LastDayChance)
	if v.task == call.BagOn && ok && len(v.owed) > 0 && !v.said(trail.BagsTorn) && !a.Standing.Ended() && a.Days.Last > max(safe, f.Day-1) {
		w.fault("days %s are told, and the last safe one is %s", a.Days, safe)
	}
	back := v.before.Standing == call.Go && a.Standing == call.Ahead && v.before.Told.Standing == call.Go && v.before.Level == a.Level
	if back && int(a.Days.First-v.before.Told.Days.First) < f.Site.Settings.TellAgainAfter {
		w.fault("%s: told for %s, goes back to ahead on %s", v.task, v.before.Told.Days, a.Days)
	}
}

// heard: whoever has the task knows by the evening how it stands.
func (w *watcher) heard(v decided) {
	a := v.after
	if len(v.chain()) == 0 || v.task == call.LotExpected && a.Told.Standing.Asks() {
		return
	}
	known := a.Told.Standing == a.Standing || v.promised() && a.Told.Standing.Asks() && a.Standing != call.LookFirst
	switch {
	case a.Standing == call.LookFirst || a.Standing == call.Hurry:
	case v.facts.Evening && (a.Standing == call.Ahead || a.Standing == call.Go || a.Standing == call.TooLate):
	default:
		return
	}
	if !known {
		w.fault("%s: is %q, and what was told last is %q", v.task, a.Standing, a.Told.Standing)
	}
	moved := max(a.Days.Last-a.Told.Days.Last, a.Told.Days.Last-a.Days.Last)
	first, set := min(a.Told.Days.First, a.Days.First), v.facts.Site.Settings
	paused := v.facts.Day >= a.Told.On+civil.Date(set.TellAgainAfter)
	near := first <= v.facts.Day+1 && a.Standing != call.Ahead || paused && first <= v.facts.Day+civil.Date(set.TellMovesWithin)
	if v.facts.Evening && near && (a.Standing == call.Ahead || a.Standing == call.Go) && !v.promised() && int(moved) >= v.facts.Site.Settings.TellAgainAfter {
		w.fault("%s: told for %s, is on %s", v.task, a.Told.Days, a.Days)
	}
}
