package metrics_test

import (
	"context"
	"errors"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"budcall/internal/metrics"
)

// pinged lets a watchdog run for a time that no test waits for, and gives when
// it sent something, in seconds from the start.
func pinged(t *testing.T, length time.Duration, loop func(context.Context, *metrics.Metrics), reply error) (at []int, m *metrics.Metrics, err error) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		ctx, cancel := context.WithTimeout(t.Context(), length)
		defer cancel()
		m = metrics.New(metrics.Options{Loops: []string{"engine"}})
		go loop(ctx, m)
		err = m.Watchdog(ctx, func(state string) error {
			if state != "WATCHDOG=1" {
				t.Errorf("systemd is told %q", state)
			}
			at = append(at, int(time.Since(start).Seconds()))
			return reply
		})
	})
	return at, m, err
}

// turning comes round every 10 seconds until a moment; without one, always.
func turning(until time.Duration) func(context.Context, *metrics.Metrics) {
	return func(ctx context.Context, m *metrics.Metrics) {
		start := time.Now()
		for ctx.Err() == nil && (until == 0 || time.Since(start) < until) {
			m.Progress("engine")
			select {
			case <-ctx.Done():
			case <-time.After(10 * time.Second):
			}
		}
	}
}

func TestWatchdogPingsAtHalfTheTimeWhileLoopsTurn(t *testing.T) {
	t.Setenv("WATCHDOG_USEC", "60000000")
	t.Setenv("WATCHDOG_PID", strconv.Itoa(os.Getpid()))
	at, m, err := pinged(t, 10*time.Minute+time.Second, turning(0), nil)
	if err != nil || len(at) != 21 || at[0] != 0 || at[1] != 30 || at[20] != 600 {
		t.Errorf("pings at %v (%v), want every 30 s for 10 minutes", at, err)
	}
	if got := value(t, m, `budcall_watchdog_pings_total{result="done"}`); got != "21" {
		t.Errorf("%s pings counted, want 21", got)
	}
}

func TestWatchdogStopsPingingWhenALoopStandsStill(t *testing.T) {
	t.Setenv("WATCHDOG_USEC", "60000000")
	at, _, err := pinged(t, time.Hour, turning(5*time.Minute), nil)
	// The last progress is at 290 s; two minutes later, at 410 s, it is too
	// old, so the ping of 390 s is the last one.
	if err != nil || len(at) == 0 || at[len(at)-1] != 390 {
		t.Errorf("last of the pings at %v (%v), want it at 390 s", at, err)
	}
}

func TestWatchdogGoesOnWhenSystemdDoesNotListen(t *testing.T) {
	t.Setenv("WATCHDOG_USEC", "20000000")
	at, m, err := pinged(t, 61*time.Second, turning(0), errors.New("no such socket"))
	if err != nil || len(at) != 7 {
		t.Errorf("tried at %v (%v), want 7 times, every 10 s", at, err)
	}
	if got := value(t, m, `budcall_watchdog_pings_total{result="failed"}`); got != "7" {
		t.Errorf("%s failures counted, want 7", got)
	}
}

func TestWatchdogOnlyWhereItIsAskedFor(t *testing.T) {
	for name, c := range map[string]struct {
		usec, pid string
		wrong     string
	}{
		"no systemd":                {"", "", ""},
		"meant for another process": {"60000000", "1", ""},
		"garbled":                   {"60s", "", `WATCHDOG_USEC="60s"`},
		"zero":                      {"0", "", `WATCHDOG_USEC="0"`},
		"negative":                  {"-5", "", `WATCHDOG_USEC="-5"`},
		"too large for a duration":  {"9223372036854775807", "", "leave the variable to systemd"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Setenv("WATCHDOG_USEC", c.usec)
			t.Setenv("WATCHDOG_PID", c.pid)
			m, _ := set("engine")
			err := m.Watchdog(t.Context(), func(string) error { t.Error("systemd is told something"); return nil })
			if (err == nil) != (c.wrong == "") || err != nil && !strings.Contains(err.Error(), c.wrong) {
				t.Errorf("%v, want %q", err, c.wrong)
			}
		})
	}
}

func TestNotifyReachesASocket(t *testing.T) {
	dir, err := os.MkdirTemp("", "notify") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	for name, address := range map[string]string{
		"in the file system": filepath.Join(dir, "socket"),
		"abstract":           "@budcall-test-" + strconv.Itoa(os.Getpid()),
	} {
		t.Run(name, func(t *testing.T) {
			peer, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: address, Net: "unixgram"})
			if err != nil {
				t.Fatal(err)
			}
			defer peer.Close()
			t.Setenv("NOTIFY_SOCKET", address)
			if err := metrics.Notify("READY=1\nSTATUS=weather of 4 sites"); err != nil {
				t.Fatal(err)
			}
			if err := peer.SetReadDeadline(time.Now().Add(5 * time.Second)); err != nil {
				t.Fatal(err)
			}
			buf := make([]byte, 200)
			n, err := peer.Read(buf)
			if err != nil || string(buf[:n]) != "READY=1\nSTATUS=weather of 4 sites" {
				t.Errorf("systemd heard %q (%v)", buf[:n], err)
			}
		})
	}
}

func TestNotifyWithoutSystemd(t *testing.T) {
	t.Setenv("NOTIFY_SOCKET", "")
	if err := metrics.Notify("READY=1"); err != nil {
		t.Errorf("nobody to tell: %v, want no error", err)
	}
	t.Setenv("NOTIFY_SOCKET", filepath.Join(t.TempDir(), "gone"))
	if err := metrics.Notify("READY=1"); err == nil || !strings.Contains(err.Error(), "telling systemd READY=1") {
		t.Errorf("a socket that isn't there: %v", err)
	}
}
