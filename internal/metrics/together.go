package metrics

import (
	"net/http"
	"slices"
	"strings"
	"sync"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Together is the numbers and the health of the programmes of one process, told
// at one address. Programmes may come and go while it is asked.
type Together struct {
	mu     sync.Mutex
	all    []*Metrics   // in the order in which they came, each of another code
	scrape http.Handler // of those
}

// Add adds a programme's numbers, in the place of those that there are of the
// same code in Options.Programme.
func (t *Together) Add(m *Metrics) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.all = append(slices.DeleteFunc(slices.Clone(t.all), func(one *Metrics) bool { return one.programme == m.programme }), m)
	t.scrape = scrapeOf(t.all)
}

// Remove takes a programme's numbers out.
func (t *Together) Remove(m *Metrics) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.all = slices.DeleteFunc(slices.Clone(t.all), func(one *Metrics) bool { return one == m })
	t.scrape = scrapeOf(t.all)
}

func (t *Together) members() []*Metrics {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.all
}

// scrapeOf answers a scrape: what is of the process as a whole is told once.
func scrapeOf(all []*Metrics) http.Handler {
	if len(all) == 0 {
		return nil
	}
	from := prometheus.Gatherers{all[0].process}
	for _, m := range all {
		from = append(from, m.registry)
	}
	return promhttp.HandlerFor(from, promhttp.HandlerOpts{
		Registry: all[0].process, MaxRequestsInFlight: scrapesAtOnce, Timeout: scrapeTimeout,
	})
}

// Handler serves /metrics, /healthz and /readyz.
//
// /healthz answers 200 while every loop of every programme makes progress, else
// 503 with the loops that don't: a restart may help. /readyz answers 200 while
// every programme can do its work, else 503 with the reasons: a restart
// wouldn't help.
func (t *Together) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /metrics", func(w http.ResponseWriter, r *http.Request) {
		t.mu.Lock()
		scrape := t.scrape
		t.mu.Unlock()
		if scrape == nil { // nobody has come yet
			scrape = http.NotFoundHandler()
		}
		scrape.ServeHTTP(w, r)
	})
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		stalled := t.stalled()
		answer(w, len(stalled) == 0, "alive", strings.Join(stalled, "\n"))
	})
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, _ *http.Request) {
		reasons := t.each(func(m *Metrics) []string {
			m.mu.Lock()
			defer m.mu.Unlock()
			if m.ready {
				return nil
			}
			return []string{m.reason}
		})
		answer(w, len(reasons) == 0, "ready", "not ready: "+strings.Join(reasons, "\nnot ready: "))
	})
	return mux
}

// stalled lists the loops of all programmes that make no progress.
func (t *Together) stalled() []string { return t.each((*Metrics).Stalled) }

// each asks every programme; where there are several, each answer says whose it is.
func (t *Together) each(ask func(*Metrics) []string) (all []string) {
	members := t.members()
	for _, m := range members {
		for _, text := range ask(m) {
			if len(members) > 1 {
				text = m.programme + ": " + text
			}
			all = append(all, text)
		}
	}
	return all
}
