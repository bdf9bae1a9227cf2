package fetch_test

import (
	"compress/gzip"
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/fetch"
)

// clock is a time that tests move.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func newClock() *clock { return &clock{now: time.Date(2031, 5, 3, 6, 10, 0, 0, time.UTC)} }

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

// Sleep moves the clock instead of waiting.
func (c *clock) Sleep(ctx context.Context, d time.Duration) error {
	c.Add(d)
	return ctx.Err()
}

func (c *clock) Add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

// metNorway is a peer that enforces the rules of the service and remembers
// who broke them: identification, four decimals, Expires, conditional
// requests, gzip.
type metNorway struct {
	clock        *clock
	mu           sync.Mutex
	lastModified time.Time
	expires      map[string]time.Time // by query
	requests     int
	violations   []string
	modifiedSent []string // If-Modified-Since as received
}

const invented = `{"invented":"weather"}`

func (m *metNorway) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.requests++
	now := m.clock.Now()
	agent := r.Header.Get("User-Agent")
	if !strings.Contains(agent, "@") || strings.HasPrefix(agent, "Go-http-client") {
		m.violations = append(m.violations, "User-Agent "+agent)
		http.Error(w, "<html>Forbidden</html>", http.StatusForbidden)
		return
	}
	for _, name := range []string{"lat", "lon"} {
		if _, decimals, _ := strings.Cut(r.URL.Query().Get(name), "."); len(decimals) > 4 {
			m.violations = append(m.violations, "decimals of "+name)
			http.Error(w, "<html>Forbidden</html>", http.StatusForbidden)
			return
		}
	}
	if r.Method != http.MethodGet || !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		m.violations = append(m.violations, "method or encoding")
	}
	if until := m.expires[r.URL.RawQuery]; now.Before(until) {
		m.violations = append(m.violations, "asked before Expires")
	}
	until := now.Add(31 * time.Minute)
	m.expires[r.URL.RawQuery] = until.Truncate(time.Second)
	w.Header().Set("Date", now.Format(http.TimeFormat))
	w.Header().Set("Expires", until.Format(http.TimeFormat))
	w.Header().Set("Last-Modified", m.lastModified.Format(http.TimeFormat))
	m.modifiedSent = append(m.modifiedSent, r.Header.Get("If-Modified-Since"))
	if r.Header.Get("If-Modified-Since") == m.lastModified.Format(http.TimeFormat) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Encoding", "gzip")
	zip := gzip.NewWriter(w)
	fmt.Fprint(zip, invented)
	zip.Close()
}

// loopback is what a client must be told to allow before it speaks to a test
// server.
var loopback = []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}

const agent = "budcall/0.1 (+mailto:season@birch-programme.example)"

// client gives a client that may speak to 127.0.0.1 and what it logs.
func client(t *testing.T, c *clock, change ...func(*fetch.Options)) (*fetch.Client, *strings.Builder) {
	t.Helper()
	var log strings.Builder
	opt := fetch.Options{UserAgent: agent, AllowCIDRs: loopback, Now: c.Now, Sleep: c.Sleep, Seed: 7,
		Logger: slog.New(slog.NewTextHandler(&log, nil))}
	for _, f := range change {
		f(&opt)
	}
	client, err := fetch.New(opt)
	if err != nil {
		t.Fatal(err)
	}
	return client, &log
}

// serve starts a server on loopback.
func serve(t *testing.T, h http.HandlerFunc) string {
	t.Helper()
	s := httptest.NewServer(h)
	t.Cleanup(s.Close)
	return s.URL
}
