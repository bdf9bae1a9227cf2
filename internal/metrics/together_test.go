package metrics_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"budcall/internal/metrics"
)

// asked gives what an address of several programmes answers.
func asked(t *testing.T, h http.Handler, path string) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

// numbersOf makes the numbers of a programme with one loop.
func numbersOf(code string) *metrics.Metrics {
	return metrics.New(metrics.Options{Programme: code, Version: "1", Loops: []string{"engine"}})
}

func TestEachNumberSaysWhichProgrammeItIsOf(t *testing.T) {
	var both metrics.Together
	north, south := numbersOf("NORTH"), numbersOf("SOUTH")
	both.Add(north)
	both.Add(south)
	north.Trouble(2)
	south.Sent("mail", "sent")
	south.NewestReading("station", time.Now())
	_, scrape := asked(t, both.Handler(), "/metrics")
	for _, line := range []string{
		`budcall_open_troubles{programme="NORTH"} 2`, `budcall_open_troubles{programme="SOUTH"} 0`,
		`budcall_sent_total{channel="mail",programme="NORTH",result="sent"} 0`, `budcall_sent_total{channel="mail",programme="SOUTH",result="sent"} 1`,
		`budcall_stalled_loops{programme="NORTH"} 0`, `budcall_newest_reading_age_seconds{class="station",programme="SOUTH"}`,
	} {
		if !strings.Contains(scrape, "\n"+line) {
			t.Errorf("the scrape lacks %s", line)
		}
	}
	for line := range strings.Lines(scrape) { // what is of the process is told once, and of no programme
		name, _, _ := strings.Cut(line, "{")
		ofProcess := name == "budcall_build_info" || name == "budcall_watchdog_pings_total" || strings.HasPrefix(line, "budcall_start_timestamp_seconds ")
		if strings.HasPrefix(line, "budcall_") && ofProcess == strings.Contains(line, `programme="`) {
			t.Errorf("whose is %s", line)
		}
	}
	if n := strings.Count(scrape, "\nbudcall_build_info{"); n != 1 {
		t.Errorf("the process is told %d times", n)
	}
	both.Remove(north)
	if _, scrape := asked(t, both.Handler(), "/metrics"); strings.Contains(scrape, "NORTH") || !strings.Contains(scrape, "SOUTH") || !strings.Contains(scrape, "budcall_build_info{") {
		t.Error("a programme that went is still told, or the other isn't")
	}
}

func TestHealthOfSeveralProgrammesNamesTheOneInTrouble(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var both metrics.Together
		north, south := numbersOf("NORTH"), numbersOf("SOUTH")
		both.Add(north)
		both.Add(south)
		h := both.Handler()
		for _, row := range []struct {
			what   string
			do     func()
			path   string
			status int
			says   string
		}{
			{"neither has begun", func() {}, "/readyz", 503, "not ready: NORTH: starting\nnot ready: SOUTH: starting\n"},
			{"one is ready", func() { north.SetReady(true, "") }, "/readyz", 503, "not ready: SOUTH: starting\n"},
			{"both are", func() { south.SetReady(true, "") }, "/readyz", 200, "ready\n"},
			{"one's loop stands still", func() { time.Sleep(3 * time.Minute); north.Progress("engine") }, "/healthz", 503, "SOUTH: engine: no progress for 3m0s\n"},
			{"both go on", func() { south.Progress("engine") }, "/healthz", 200, "alive\n"},
			{"another takes the place of the one in trouble", func() {
				time.Sleep(3 * time.Minute)
				north.Progress("engine")
				south = numbersOf("SOUTH")
				both.Add(south)
			}, "/healthz", 200, "alive\n"},
			{"the troubled one is taken out", func() { time.Sleep(3 * time.Minute); north.Progress("engine"); both.Remove(south) }, "/healthz", 200, "alive\n"},
		} {
			row.do()
			if status, text := asked(t, h, row.path); status != row.status || text != row.says {
				t.Errorf("%s: %d %q, want %d %q", row.what, status, text, row.status, row.says)
			}
		}
	})
}

func TestNoSignOfLifeWhileOneOfTwoProgrammesStandsStill(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		t.Setenv("WATCHDOG_USEC", "60000000")
		var both metrics.Together
		north, south := numbersOf("NORTH"), numbersOf("SOUTH")
		both.Add(north)
		both.Add(south)
		ctx, stop := context.WithCancel(t.Context())
		pings := 0
		go func() {
			if err := both.Watchdog(ctx, func(string) error { pings++; return nil }); err != nil {
				t.Error(err)
			}
		}()
		time.Sleep(10 * time.Minute) // both stand still after two minutes
		synctest.Wait()
		first := pings
		if first < 4 || first > 6 { // every 30 s
			t.Errorf("%d pings within ten minutes of which two were good", first)
		}
		north.Progress("engine")
		time.Sleep(time.Minute)
		synctest.Wait()
		if pings != first {
			t.Error("a ping while SOUTH stands still")
		}
		north.Progress("engine")
		south.Progress("engine")
		time.Sleep(time.Minute)
		synctest.Wait()
		if pings != first+2 {
			t.Errorf("%d pings in the minute in which both went on", pings-first)
		}
		stop()
	})
}
