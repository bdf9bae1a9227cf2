package metrics

import (
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Limits of /metrics: a scraper that hangs, or several of them, must not cost
// the program anything.
const (
	scrapesAtOnce = 4
	scrapeTimeout = 10 * time.Second
)

// Handler serves /metrics, /healthz and /readyz.
//
// /healthz answers 200 while every loop makes progress, else 503 with the
// loops that don't: a restart may help. /readyz answers 200 while the program
// can do its work, else 503 with the reason: a restart wouldn't help.
func (m *Metrics) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{
		Registry:            m.registry,
		MaxRequestsInFlight: scrapesAtOnce,
		Timeout:             scrapeTimeout,
	}))
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		stalled := m.Stalled()
		answer(w, len(stalled) == 0, "alive", strings.Join(stalled, "\n"))
	})
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, _ *http.Request) {
		m.mu.Lock()
		ready, why := m.ready, m.reason
		m.mu.Unlock()
		answer(w, ready, "ready", "not ready: "+why)
	})
	return mux
}

// answer writes one of two texts with the status that belongs to it.
func answer(w http.ResponseWriter, good bool, yes, no string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	if good {
		fmt.Fprintln(w, yes)
		return
	}
	w.WriteHeader(http.StatusServiceUnavailable)
	fmt.Fprintln(w, no)
}
