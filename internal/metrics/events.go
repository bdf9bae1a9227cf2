package metrics

import (
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// events is what is counted as it happens.
type events struct {
	sent     *prometheus.CounterVec
	doubtful *prometheus.CounterVec
	marked   *prometheus.CounterVec
	pings    *prometheus.CounterVec // of the process
	rejects  prometheus.Counter
	jobs     *prometheus.HistogramVec
	inbox    inboxEvents
}

func newEvents() events {
	e := events{
		inbox:    newInboxEvents(),
		sent:     counters("sent_total", "Attempts to send a letter, by how they ended.", "channel", "result"),
		doubtful: counters("doubtful_letters_total", "Letters of which nobody can tell whether they arrived; they are sent once more.", "channel"),
		marked:   counters("marked_readings_total", "Readings that are kept but not used, by why.", "reason"),
		pings:    counters("watchdog_pings_total", "Signs of life to systemd, by whether they got there.", "result"),
		rejects: prometheus.NewCounter(prometheus.CounterOpts{
			Namespace: namespace, Name: "rejected_lines_total", Help: "Lines of weather sources that could not be read.",
		}),
		jobs: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Namespace: namespace, Name: "job_duration_seconds", Help: "How long jobs took, by kind and whether they were done.",
			// From a letter on loopback to a block of 500 sites with a slow source.
			Buckets:                         []float64{.005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30, 60, 300},
			NativeHistogramBucketFactor:     1.1,
			NativeHistogramMaxBucketNumber:  100,
			NativeHistogramMinResetDuration: time.Hour,
		}, []string{"kind", "result"}),
	}
	for _, c := range channels {
		e.doubtful.WithLabelValues(c)
		for _, r := range append([]string{other}, results...) {
			e.sent.WithLabelValues(c, r)
		}
	}
	for _, r := range append([]string{other}, marks()...) {
		e.marked.WithLabelValues(r)
	}
	for _, r := range endings {
		e.pings.WithLabelValues(r)
		for _, k := range kinds {
			e.jobs.WithLabelValues(k, r)
		}
	}
	return e
}

func counters(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: namespace, Name: name, Help: help}, labels)
}

func (e events) all() []prometheus.Collector {
	return append([]prometheus.Collector{e.sent, e.doubtful, e.marked, e.rejects, e.jobs}, e.inbox.all()...)
}

// ending names how something went.
func ending(ok bool) string {
	if ok {
		return "done"
	}
	return "failed"
}

// Sent counts one attempt to send a letter through a channel (mail, webhook)
// by its result: sent, later, refused, broken, unknown.
func (m *Metrics) Sent(channel, result string) {
	m.events.sent.WithLabelValues(within(channels, channel), within(results, result)).Inc()
}

// Doubtful counts a letter of which nobody can tell whether it arrived.
func (m *Metrics) Doubtful(channel string) {
	m.events.doubtful.WithLabelValues(within(channels, channel)).Inc()
}

// Job counts a job of a kind (work, deliver), how long it took and whether it
// was done.
func (m *Metrics) Job(kind string, took time.Duration, ok bool) {
	m.events.jobs.WithLabelValues(within(kinds, kind), ending(ok)).Observe(took.Seconds())
}

// Rejects counts n lines of a weather source that could not be read.
func (m *Metrics) Rejects(n int) { m.events.rejects.Add(float64(max(n, 0))) }

// Marked counts a reading that is kept but not used; the reason is one of
// weather.Marks.
func (m *Metrics) Marked(reason string) {
	m.events.marked.WithLabelValues(within(marks(), reason)).Inc()
}
