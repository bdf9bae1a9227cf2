package metrics

import (
	"slices"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// gauges is what stands at a value until it is set anew.
type gauges struct {
	slots    *prometheus.GaugeVec
	calls    *prometheus.GaugeVec
	pool     *prometheus.GaugeVec
	poolMax  prometheus.Gauge
	ready    prometheus.Gauge
	troubles prometheus.Gauge
	held     prometheus.Gauge
}

func newGauges() gauges {
	g := gauges{
		slots:    vector("slot_last_success_timestamp_seconds", "When the last run of a slot was done, in seconds since 1970; 0 is never.", "slot"),
		calls:    vector("calls", "Calls of this season, by task and standing.", "task", "standing"),
		pool:     vector("database_connections", "Connections to the database, by state.", "state"),
		poolMax:  single("database_connections_max", "Connections to the database that may be open."),
		ready:    single("ready", "1 when the program can do its work, 0 when it can't."),
		troubles: single("open_troubles", "Troubles that the ops person was told of and that aren't over."),
		held:     single("held", "1 while nothing is sent until somebody has looked at what is owed, after a restore or a first start in mid-season; else 0."),
	}
	for _, s := range slots {
		g.slots.WithLabelValues(s)
	}
	for _, t := range tasks() {
		for _, s := range standings() {
			g.calls.WithLabelValues(t, s)
		}
	}
	for _, s := range []string{"used", "idle"} {
		g.pool.WithLabelValues(s)
	}
	return g
}

func vector(name, help string, labels ...string) *prometheus.GaugeVec {
	return prometheus.NewGaugeVec(prometheus.GaugeOpts{Namespace: namespace, Name: name, Help: help}, labels)
}

func single(name, help string) prometheus.Gauge {
	return prometheus.NewGauge(prometheus.GaugeOpts{Namespace: namespace, Name: name, Help: help})
}

func (g gauges) all() []prometheus.Collector {
	return []prometheus.Collector{g.slots, g.calls, g.pool, g.poolMax, g.ready, g.troubles, g.held}
}

// SlotDone says when the last run of a slot (pull, evening) was done. Runs of
// other names are occasions between slots, and change nothing.
func (m *Metrics) SlotDone(name string, at time.Time) {
	if slices.Contains(slots, name) {
		m.gauges.slots.WithLabelValues(name).Set(seconds(at))
	}
}

// Standing says how many calls of a task have a standing. Calls that are too
// far off to speak of have none, and aren't shown.
func (m *Metrics) Standing(task, standing string, n int) {
	if slices.Contains(tasks(), task) && slices.Contains(standings(), standing) {
		m.gauges.calls.WithLabelValues(task, standing).Set(float64(n))
	}
}

// Trouble says how many troubles aren't over.
func (m *Metrics) Trouble(n int) { m.gauges.troubles.Set(float64(n)) }

// PoolStats says how many connections to the database are open, how many of
// these are idle, and how many may be open.
func (m *Metrics) PoolStats(total, idle, limit int) {
	m.gauges.pool.WithLabelValues("used").Set(float64(total - idle))
	m.gauges.pool.WithLabelValues("idle").Set(float64(idle))
	m.gauges.poolMax.Set(float64(limit))
}

// SetReady says whether the program can do its work and, if it can't, why in
// one line for /readyz. Until the first call it is starting.
func (m *Metrics) SetReady(ready bool, why string) {
	m.mu.Lock()
	m.ready, m.reason = ready, why
	m.mu.Unlock()
	value := 0.0
	if ready {
		value = 1
	}
	m.gauges.ready.Set(value)
}
