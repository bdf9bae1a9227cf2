package app

import (
	"context"
	"net/http"
	"sync/atomic"
	"time"

	"budcall/internal/deliver"
	"budcall/internal/metrics"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// engineLoop is the loop that must make progress, as the metrics call it.
const engineLoop = "engine"

// gauges is what the program counts of itself.
type gauges struct {
	m       *metrics.Metrics
	program atomic.Pointer[time.Time] // the program's time as last seen
}

func newGauges(version string) *gauges {
	g := &gauges{}
	g.m = metrics.New(metrics.Options{Version: version, Loops: []string{engineLoop}, Now: g.now})
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

func (g *gauges) job(kind string, took time.Duration, err error) { g.m.Job(kind, took, err == nil) }

func (g *gauges) ready(err error) {
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
	g.m.Set(out)
	g.m.PoolStats(db.Pool())
	return nil
}

func (g *gauges) handler() http.Handler { return g.m.Handler() }

// Watch pings systemd's watchdog, where there is one, for as long as the
// program makes progress; it returns when ctx ends.
func (a *App) Watch(ctx context.Context) error { return a.gauges.m.Watchdog(ctx, metrics.Notify) }

// Announce tells systemd, where it started us, how we stand: READY=1 or STOPPING=1.
func (a *App) Announce(state string) error { return metrics.Notify(state) }
