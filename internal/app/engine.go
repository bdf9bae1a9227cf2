package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/schedule"
)

// blockSize is how many sites one piece of work advances in one transaction.
const blockSize = 500

// The names of runs.
const (
	runPull    = "pull"    // a slot: weather in, everything computed anew
	runEvening = "evening" // a slot: what can wait for the evening is told
	runWeek    = "week"    // a slot: the coordinator is told how everything stands
	runAnswer  = "answer"  // an occasion: somebody's time for an answer is over
	runAgain   = "again"   // an occasion: a source that failed is asked again
	runReport  = "report"  // an occasion: somebody reported
	runFirst   = "first"   // an occasion: the first start
)

// engine begins what is due. All it knows is in the database, so that a second
// engine beside it changes nothing: every run is begun once.
type engine struct {
	db        Store
	programme func() *config.Programme // the one in force
	overviews bool                     // whether the coordinator is told each week how everything stands
}

// step begins everything that is due at now and isn't begun yet, the oldest
// slot first, one at a time: a later slot waits until the earlier one is done.
func (e *engine) step(ctx context.Context, now time.Time) error {
	if _, err := e.db.QueueLetters(ctx, now); err != nil {
		return err
	}
	for _, begin := range []func(context.Context, time.Time) error{e.slots, e.answers, e.again} {
		if err := begin(ctx, now); err != nil {
			return err
		}
	}
	return nil
}

// stepTo begins and works off everything that is due at at, and what follows
// from it. drain waits until all that was begun is done.
func (e *engine) stepTo(ctx context.Context, at time.Time, drain func(context.Context, time.Time) error) error {
	for {
		if err := e.step(ctx, at); err != nil {
			return err
		}
		if err := drain(ctx, at); err != nil {
			return err
		}
		more, err := e.more(ctx, at)
		if err != nil || !more {
			return err
		}
	}
}

// more reports whether something is due at now that isn't begun yet: a slot
// that had to wait for an earlier one.
func (e *engine) more(ctx context.Context, now time.Time) (bool, error) {
	for name, rules := range e.rules() {
		last, err := e.last(ctx, name, now)
		if err != nil {
			return false, err
		}
		if _, due := e.due(name, rules, last, now); due {
			return true, nil
		}
	}
	sites, err := e.db.AnswersDue(ctx, now)
	return len(known(e.programme(), sites)) > 0, err
}

// rules are the schedule: the slots of each run.
func (e *engine) rules() map[string][]config.Slot {
	p := e.programme()
	rules := map[string][]config.Slot{runPull: p.Pull, runEvening: {p.Evening}}
	if e.overviews {
		rules[runWeek] = []config.Slot{p.Week}
	}
	return rules
}

// slots begins the oldest slot that is due. Slots missed while the program was
// down are coalesced into the newest one: weather is pulled from the last
// stored day on anyway, and people are told only today's state.
func (e *engine) slots(ctx context.Context, now time.Time) error {
	rules := e.rules()
	var plans []postgres.Plan
	for _, name := range []string{runPull, runEvening, runWeek} {
		last, err := e.last(ctx, name, now)
		if err != nil {
			return err
		}
		if plan, ok := e.due(name, rules[name], last, now); ok {
			plans = append(plans, plan)
		}
	}
	slices.SortFunc(plans, func(a, b postgres.Plan) int { return a.Due.Compare(b.Due) })
	for _, plan := range plans {
		if _, err := e.db.Begin(ctx, plan); err != nil {
			return err
		}
	}
	return nil
}

// last gives the slot after which a run's slots are due: the last one begun.
// In a new database the first pull is due at once, as the slot before now, and
// nothing of what an evening before the first pull would have told.
func (e *engine) last(ctx context.Context, name string, now time.Time) (time.Time, error) {
	last, err := e.db.LastRun(ctx, name)
	if err != nil || !last.IsZero() {
		return last, err
	}
	if name == runPull {
		return now.Add(-24 * time.Hour), nil
	}
	if last, err = e.db.LastRun(ctx, runPull); err != nil || !last.IsZero() {
		return last, err
	}
	return now, nil
}

// due gives the newest slot of the rules that is due, with the number of older
// ones left out.
func (e *engine) due(name string, rules []config.Slot, last, now time.Time) (postgres.Plan, bool) {
	var newest schedule.Slot
	total := 0
	for _, rule := range rules {
		due, skipped := schedule.Due(rule.Rule, last, now, 1)
		total += len(due) + skipped
		if len(due) > 0 && due[0].At.After(newest.At) {
			newest = due[0]
		}
	}
	if total == 0 {
		return postgres.Plan{}, false
	}
	plan := e.plan(name, now)
	plan.Day, plan.Nominal, plan.Due, plan.Skipped = newest.Date, newest.Nominal, newest.At, total-1
	return plan, true
}

// plan gives a run of the whole programme: every source for a pull, every site.
func (e *engine) plan(name string, now time.Time) postgres.Plan {
	p := e.programme()
	plan := postgres.Plan{Run: postgres.Run{Name: name, At: now, Due: now}, Pieces: map[postgres.Phase][]string{}}
	if name == runWeek {
		plan.Pieces[postgres.Tell] = []string{"all"}
		return plan
	}
	if name == runPull {
		plan.Pieces[postgres.Pull] = sources(p)
	}
	var codes []string
	for _, s := range p.Sites {
		codes = append(codes, s.Code)
	}
	plan.Pieces[postgres.Advance] = blocks(codes)
	plan.Pieces[postgres.Tell] = []string{"all"}
	return plan
}

// occasion gives a run between slots, for some sites.
func (e *engine) occasion(name, nominal string, now time.Time, sites []string) postgres.Plan {
	day := civil.At(now.In(e.programme().Zone))
	return postgres.Plan{
		Run:    postgres.Run{Name: name, Day: day, Nominal: nominal, Due: now, At: now},
		Beside: name == runReport, // whoever reports must not wait for weather
		Pieces: map[postgres.Phase][]string{postgres.Advance: blocks(sites), postgres.Tell: {"all"}},
	}
}

// answers begins the run for sites at which the time for an answer is over.
func (e *engine) answers(ctx context.Context, now time.Time) error {
	sites, err := e.db.AnswersDue(ctx, now)
	if err != nil {
		return err
	}
	if sites = known(e.programme(), sites); len(sites) == 0 {
		return nil
	}
	_, err = e.db.Begin(ctx, e.occasion(runAnswer, now.UTC().Format(time.RFC3339), now, sites))
	return err
}

// again begins the run for sources that failed and whose time has come.
func (e *engine) again(ctx context.Context, now time.Time) error {
	due, err := e.db.DueSources(ctx, now)
	if err != nil || len(due) == 0 {
		return err
	}
	p := e.programme()
	due = slices.DeleteFunc(due, func(s string) bool { return !slices.Contains(sources(p), s) })
	if len(due) == 0 {
		return nil
	}
	plan := e.occasion(runAgain, now.UTC().Format(time.RFC3339), now, sitesServedBy(p, due))
	plan.Pieces[postgres.Pull] = due
	_, err = e.db.Begin(ctx, plan)
	return err
}

// sources lists what a pull asks: the stations that sites use and the sites
// with a short-range forecast.
func sources(p *config.Programme) []string {
	var out []string
	for _, st := range p.Stations {
		if slices.ContainsFunc(p.Sites, func(s config.Site) bool { return slices.Contains(s.Stations, st.Code) }) {
			out = append(out, stationSource(st.Code))
		}
	}
	for _, s := range p.Sites {
		if s.Forecast != "" {
			out = append(out, outlookSource(s.Code))
		}
	}
	return out
}

func stationSource(code string) string { return "station:" + code }
func outlookSource(site string) string { return "outlook:" + site }

// sitesServedBy lists the sites that any of the sources serves.
func sitesServedBy(p *config.Programme, sources []string) []string {
	var out []string
	for _, s := range p.Sites {
		uses := slices.ContainsFunc(s.Stations, func(st string) bool { return slices.Contains(sources, stationSource(st)) })
		if uses || slices.Contains(sources, outlookSource(s.Code)) {
			out = append(out, s.Code)
		}
	}
	return out
}

// known leaves out sites that the configuration no longer has.
func known(p *config.Programme, sites []string) []string {
	return slices.DeleteFunc(sites, func(code string) bool {
		return !slices.ContainsFunc(p.Sites, func(s config.Site) bool { return s.Code == code })
	})
}

// blocks puts sites together into keys of pieces.
func blocks(sites []string) []string {
	var out []string
	for block := range slices.Chunk(sites, blockSize) {
		out = append(out, strings.Join(block, ","))
	}
	return out
}

// next gives the next moment at which something falls due by itself; it is
// what a simulated clock jumps to.
func (e *engine) next(ctx context.Context, now time.Time) (time.Time, error) {
	p := e.programme()
	next := p.Evening.Rule.Next(now)
	slots := p.Pull
	if e.overviews {
		slots = append(slices.Clone(slots), p.Week)
	}
	for _, s := range slots {
		if t := s.Rule.Next(now); !t.IsZero() && (next.IsZero() || t.Before(next)) {
			next = t
		}
	}
	for _, ask := range []func(context.Context) (time.Time, error){e.db.NextAnswer, e.db.NextLetter, e.db.NextSource} {
		t, err := ask(ctx)
		if err != nil {
			return time.Time{}, err
		}
		if t.After(now) && (next.IsZero() || t.Before(next)) {
			next = t
		}
	}
	if next.IsZero() {
		return time.Time{}, fmt.Errorf("nothing will ever fall due: check the slots in programme.yml")
	}
	return next, nil
}
