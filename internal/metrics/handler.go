package metrics

import (
	"fmt"
	"net/http"
	"time"
)

// Limits of /metrics: a scraper that hangs, or several of them, must not cost
// the program anything.
const (
	scrapesAtOnce = 4
	scrapeTimeout = 10 * time.Second
)

// Handler serves /metrics, /healthz and /readyz of one programme; see Together.
func (m *Metrics) Handler() http.Handler {
	var t Together
	t.Add(m)
	return t.Handler()
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
