package app

import (
	"context"
	"sync/atomic"
	"time"

	"budcall/internal/deliver"
	"budcall/internal/inbox"
	"budcall/internal/metrics"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/weather"
)

// engineLoop is the loop that must make progress, as the metrics call it.
const engineLoop = "engine"

// gauges is what the program counts of itself.
type gauges struct {
	m       *metrics.Metrics
	program atomic.Pointer[time.Time] // the program's time as last seen
	ailing  atomic.Pointer[ailment]   // what keeps jobs from being done; nil: nothing

	// of refresh, which one loop calls: when a site was last scored, when that
	// was told by the machine's clock, and of which season
	scoredAt, scoredReal time.Time
	scoredSeason         int
}

func newGauges(version, programme string) *gauges {
	g := &gauges{}
	g.m = metrics.New(metrics.Options{Version: version, Programme: programme, Loops: []string{engineLoop}, Now: g.now})
	return g
}

// now is the time that weather lives by: the program's as last seen.
func (g *gauges) now() time.Time {
	if t := g.program.Load(); t != nil {
		return *t
	}
	return time.Now()
}

func (g *gauges) sent(c notice.Channel, v deliver.Verdict, doubtful bool) {
	g.m.Sent(string(c), string(v))
	if doubtful {
		g.m.Doubtful(string(c))
	}
}

func (g *gauges) pulled(rejects int, marks []weather.Mark) {
	g.m.Rejects(rejects)
	for _, mark := range marks {
		g.m.Marked(string(mark))
	}
}

// ailment is a trouble with the database that a job ran into.
type ailment struct {
	err error
	at  time.Time // by the machine's clock
}

// ailmentLasts is how long a job's trouble counts at most: a job that failed
// is tried again within a minute, and ends it if it succeeds.
const ailmentLasts = 90 * time.Second

func (g *gauges) job(kind string, took time.Duration, err error) {
	g.m.Job(kind, took, err == nil)
	switch {
	case err == nil:
		g.ailing.Store(nil)
	case postgres.Temporary(err):
		g.ailing.Store(&ailment{err, time.Now()})
		g.ready(err)
	}
}

// ready tells whether the program can do its work: the loop's error says no,
// and so does what jobs run into while the loop has nothing to store.
func (g *gauges) ready(err error) {
	if a := g.ailing.Load(); err == nil && a != nil && time.Since(a.at) < ailmentLasts {
		err = a.err
	}
	if err != nil {
		g.m.SetReady(false, postgres.Explain(err).Error())
		return
	}
	g.m.SetReady(true, "")
}

func (g *gauges) progress() { g.m.Progress(engineLoop) }

// refresh takes a snapshot of how the work stands.
func (g *gauges) refresh(ctx context.Context, db *postgres.DB, now time.Time) error {
	s, err := db.Snapshot(ctx, now)
	if err != nil {
		return err
	}
	g.program.Store(&now)
	out := metrics.Snapshot{
		SlotDone: s.SlotDone, OldestOwed: s.OldestOwed, OpenRun: s.OpenRun, Troubles: s.Troubles, NewestReading: map[string]time.Time{},
	}
	for class, day := range s.Newest {
		out.NewestReading[class] = (day + 1).In(time.UTC, 0, 0)
	}
	for _, c := range s.Calls {
		out.Calls = append(out.Calls, metrics.Calls(c))
	}
	if _, out.Held, err = db.Held(ctx); err != nil {
		return err
	}
	g.m.Set(out)
	g.m.PoolStats(db.Pool())
	return g.rescore(ctx, db, now)
}

// scoresLast is after how long, by the machine's clock, scores are averaged
// again although none seems to be new: two transactions may commit in the other
// order than they began.
const scoresLast = time.Minute

// rescore tells how the season's forecasts did, where that has changed.
func (g *gauges) rescore(ctx context.Context, db *postgres.DB, now time.Time) error {
	if now.Year() != g.scoredSeason || time.Since(g.scoredReal) > scoresLast {
		g.scoredAt = time.Time{}
	}
	season, newest, err := db.SkillsSince(ctx, now.Year(), g.scoredAt)
	if err != nil {
		return err
	}
	if newest.After(g.scoredAt) || now.Year() != g.scoredSeason {
		g.m.Scores(season)
		g.scoredAt, g.scoredReal, g.scoredSeason = newest, time.Now(), now.Year()
	}
	return nil
}

// Watch pings systemd's watchdog, where there is one, for as long as the
// program makes progress; it returns when ctx ends.
func (a *App) Watch(ctx context.Context) error { return a.gauges.m.Watchdog(ctx, metrics.Notify) }

// arrived counts what became of a mail on its way in.
func (g *gauges) arrived(e inbox.Event) { g.m.Arrived(string(e)) }
