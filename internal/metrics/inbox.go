package metrics

import "github.com/prometheus/client_golang/prometheus"

// The label sets of mails that come in.
var (
	arrivals = []string{"kept", "not kept", "too large", "stranger", "cut off", "busy", "passed by", "poll error", "polled"}
	outcomes = []string{
		"stored", "part stored", "to coordinator", "held for a tap", "held for the coordinator",
		"ignored: auto-reply", "ignored: list mail", "no answer: bounce", "refused: too large", "settings",
	}
)

// inboxEvents counts mails that come in.
type inboxEvents struct {
	arrived *prometheus.CounterVec
	read    *prometheus.CounterVec
}

func newInboxEvents() inboxEvents {
	e := inboxEvents{
		arrived: counters("inbox_events_total", "What became of mails on their way in, and of looks into the mailbox.", "event"),
		read:    counters("replies_read_total", "Mails that came in and were read, by what came of them.", "outcome"),
	}
	for _, w := range append([]string{other}, arrivals...) {
		e.arrived.WithLabelValues(w)
	}
	for _, w := range append([]string{other}, outcomes...) {
		e.read.WithLabelValues(w)
	}
	return e
}

func (e inboxEvents) all() []prometheus.Collector { return []prometheus.Collector{e.arrived, e.read} }

// Arrived counts what became of a mail on its way in; the event is one of
// those of package inbox.
func (m *Metrics) Arrived(event string) {
	m.events.inbox.arrived.WithLabelValues(within(arrivals, event)).Inc()
}

// Reply counts a mail that was read; the outcome is one of those of package
// report.
func (m *Metrics) Reply(outcome string) {
	m.events.inbox.read.WithLabelValues(within(outcomes, outcome)).Inc()
}
