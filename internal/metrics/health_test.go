package metrics_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"budcall/internal/metrics"
)

func TestHealth(t *testing.T) {
	for name, c := range map[string]struct {
		later  time.Duration // after noon, when it started
		marks  map[string]time.Duration
		status int
		says   string
	}{
		"just started": {0, nil, 200, "alive"},
		"two minutes without progress are allowed":       {2 * time.Minute, nil, 200, "alive"},
		"a loop that never came round is named":          {2*time.Minute + time.Second, map[string]time.Duration{"engine": 2 * time.Minute}, 503, "refresh: no progress for 2m1s"},
		"a loop that stopped coming round is named":      {time.Hour, map[string]time.Duration{"engine": 20 * time.Minute, "refresh": time.Hour}, 503, "engine: no progress for 40m0s"},
		"every loop that stands still is named":          {time.Hour, nil, 503, "engine: no progress for 1h0m0s\nrefresh: no progress for 1h0m0s"},
		"all loops come round":                           {time.Hour, map[string]time.Duration{"engine": 59 * time.Minute, "refresh": time.Hour}, 200, "alive"},
		"a loop that wasn't listed is watched from then": {time.Hour, map[string]time.Duration{"engine": time.Hour, "refresh": time.Hour, "inbox": 30 * time.Minute}, 503, "inbox: no progress for 30m0s"},
	} {
		t.Run(name, func(t *testing.T) {
			m, clock := set("engine", "refresh")
			for loop, at := range c.marks {
				clock.at = noon.Add(at)
				m.Progress(loop)
			}
			clock.at = noon.Add(c.later)
			status, says := get(t, m, "/healthz")
			if status != c.status || says != c.says+"\n" {
				t.Errorf("/healthz: %d %q, want %d %q", status, says, c.status, c.says)
			}
		})
	}
}

func TestReadiness(t *testing.T) {
	for name, c := range map[string]struct {
		do     func(*metrics.Metrics)
		status int
		says   string
		gauge  string
	}{
		"not before it is said": {func(*metrics.Metrics) {}, 503, "not ready: starting", "0"},
		"ready":                 {func(m *metrics.Metrics) { m.SetReady(true, "") }, 200, "ready", "1"},
		"the database went away": {func(m *metrics.Metrics) {
			m.SetReady(true, "")
			m.SetReady(false, "the database doesn't answer")
		}, 503, "not ready: the database doesn't answer", "0"},
		"and came back": {func(m *metrics.Metrics) {
			m.SetReady(false, "the database doesn't answer")
			m.SetReady(true, "")
		}, 200, "ready", "1"},
	} {
		t.Run(name, func(t *testing.T) {
			m, _ := set()
			c.do(m)
			if status, says := get(t, m, "/readyz"); status != c.status || says != c.says+"\n" {
				t.Errorf("/readyz: %d %q, want %d %q", status, says, c.status, c.says)
			}
			if got := value(t, m, "budcall_ready"); got != c.gauge {
				t.Errorf("budcall_ready is %s, want %s", got, c.gauge)
			}
		})
	}
}

func TestADatabaseThatIsAwayIsNoReasonForARestart(t *testing.T) {
	m, clock := set("engine")
	m.SetReady(false, "the database doesn't answer")
	for range 60 { // an hour in which the loop comes round and can't do anything
		clock.at = clock.at.Add(time.Minute)
		m.Progress("engine")
	}
	if status, _ := get(t, m, "/healthz"); status != 200 {
		t.Errorf("/healthz: %d, want 200", status)
	}
	if status, _ := get(t, m, "/readyz"); status != 503 {
		t.Errorf("/readyz: %d, want 503", status)
	}
}

func TestOnlyThreePathsAndOnlyToRead(t *testing.T) {
	m, _ := set()
	for name, c := range map[string]struct {
		method, path string
		status       int
	}{
		"unknown path":    {http.MethodGet, "/", 404},
		"below a path":    {http.MethodGet, "/healthz/x", 404},
		"writing":         {http.MethodPost, "/healthz", 405},
		"only the header": {http.MethodHead, "/metrics", 200},
	} {
		t.Run(name, func(t *testing.T) {
			w := httptest.NewRecorder()
			m.Handler().ServeHTTP(w, httptest.NewRequest(c.method, c.path, strings.NewReader("")))
			if w.Code != c.status {
				t.Errorf("%s %s: %d, want %d", c.method, c.path, w.Code, c.status)
			}
		})
	}
}
