// Package metrics is what the program tells Prometheus, systemd and whoever
// asks for its health: numbers of closed label sets, never a person, a site, a
// station or an error's text.
package metrics

import (
	"log/slog"
	"runtime"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// namespace begins every name that is ours.
const namespace = "budcall"

// Options is what New needs. The zero value serves.
type Options struct {
	Version string // of the program, for budcall_build_info
	Commit  string // that it was built from

	// Programme is the code of the programme whose numbers these are. Each of
	// its series carries it as the label programme; what is of the process as a
	// whole has none. Empty: no series has the label.
	Programme string

	// Loops names the loops that must make progress, from the first minute on.
	// A loop that isn't listed is watched from its first mark on.
	Loops []string

	// Now is the clock that weather and calls live by (simulated in a
	// rehearsal); ages of readings are reckoned by it. Nil is time.Now.
	Now func() time.Time

	// Real is the machine's clock, by which loops must make progress. Nil is
	// time.Now.
	Real func() time.Time

	// Logger is told when a loop stands still. Nil logs nothing.
	Logger *slog.Logger
}

// Metrics holds every number. Its methods may be called from any goroutine.
type Metrics struct {
	programme string
	registry  *prometheus.Registry // of the programme
	process   *prometheus.Registry // of the process that it is in
	log       *slog.Logger
	now       func() time.Time
	real      func() time.Time

	events events
	gauges gauges
	scores scores

	mu     sync.Mutex // for what follows
	ages   ages
	loops  map[string]time.Time // last progress, by the machine's clock
	ready  bool
	reason string // why not
}

// New makes the numbers, every counter at 0, in registries of their own.
func New(o Options) *Metrics {
	m := &Metrics{
		programme: o.Programme, registry: prometheus.NewRegistry(), process: prometheus.NewRegistry(),
		log: o.Logger, now: o.Now, real: o.Real,
		events: newEvents(), gauges: newGauges(), scores: newScores(),
		loops: map[string]time.Time{}, reason: "starting",
	}
	if m.log == nil {
		m.log = slog.New(slog.DiscardHandler)
	}
	if m.now == nil {
		m.now = time.Now
	}
	if m.real == nil {
		m.real = time.Now
	}
	start := m.real()
	for _, loop := range o.Loops {
		m.loops[loop] = start
	}
	m.ages.taken = start
	own := prometheus.Registerer(m.registry)
	if o.Programme != "" {
		own = prometheus.WrapRegistererWith(prometheus.Labels{"programme": o.Programme}, m.registry)
	}
	own.MustRegister(m.events.all()...)
	own.MustRegister(m.gauges.all()...)
	own.MustRegister(m.scores.all()...)
	own.MustRegister(&ageCollector{m})
	m.process.MustRegister(
		m.events.pings,
		fixed("build_info", "Always 1; the labels say what is running.", 1,
			prometheus.Labels{"version": o.Version, "commit": o.Commit, "go_version": runtime.Version()}),
		fixed("start_timestamp_seconds", "When the program started, in seconds since 1970.", seconds(start), nil),
		collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	)
	return m
}

// Gatherer gives the numbers to whoever wants them without HTTP.
func (m *Metrics) Gatherer() prometheus.Gatherer {
	return prometheus.Gatherers{m.registry, m.process}
}

// fixed is a gauge that never changes.
func fixed(name, help string, value float64, labels prometheus.Labels) prometheus.Collector {
	g := prometheus.NewGauge(prometheus.GaugeOpts{Namespace: namespace, Name: name, Help: help, ConstLabels: labels})
	g.Set(value)
	return g
}

// seconds gives a moment in seconds since 1970; no moment is 0.
func seconds(at time.Time) float64 {
	if at.IsZero() {
		return 0
	}
	return float64(at.UnixNano()) / 1e9
}
