package metrics

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"time"
)

// Watchdog sends signs of life for one programme; see Together.
func (m *Metrics) Watchdog(ctx context.Context, notify func(state string) error) error {
	var t Together
	t.Add(m)
	return t.Watchdog(ctx, notify)
}

// Watchdog sends a sign of life through notify at half the time that systemd
// allows, as long as every loop of every programme makes progress; it returns
// when the context ends, or at once where systemd doesn't ask for it. It is no
// bare ticker: a program whose loops stand still gets no ping and is started
// anew. A database that is away doesn't stop the pings, since loops mark
// progress all the same.
func (t *Together) Watchdog(ctx context.Context, notify func(state string) error) error {
	allowed, err := watchdogTime()
	if err != nil || allowed == 0 {
		return err
	}
	ticker := time.NewTicker(allowed / 2)
	defer ticker.Stop()
	for quiet := false; ; {
		stalled := t.stalled()
		switch {
		case len(stalled) > 0 && !quiet:
			for _, m := range t.members() {
				m.log.Error("no sign of life to systemd, which will start the program anew: see the goroutines it prints when it is ended", "stalled", stalled)
			}
		case len(stalled) == 0:
			t.ping(notify)
		}
		quiet = len(stalled) > 0
		select {
		case <-ctx.Done():
			return nil
		case <-ticker.C:
		}
	}
}

func (t *Together) ping(notify func(string) error) {
	err := notify("WATCHDOG=1")
	for _, m := range t.members() {
		m.events.pings.WithLabelValues(ending(err == nil)).Inc()
		if err != nil {
			m.log.Warn("systemd can't be told that the program is alive: without that it starts the program anew", "error", err)
		}
	}
}

// watchdogTime gives the time that systemd allows between two signs of life;
// 0 where it wants none, or wants them from another process.
func watchdogTime() (time.Duration, error) {
	text := os.Getenv("WATCHDOG_USEC")
	if pid := os.Getenv("WATCHDOG_PID"); text == "" || pid != "" && pid != strconv.Itoa(os.Getpid()) {
		return 0, nil
	}
	usec, err := strconv.ParseInt(text, 10, 64)
	if err != nil || usec < 2 || usec > int64(24*time.Hour/time.Microsecond) {
		return 0, fmt.Errorf("the environment has WATCHDOG_USEC=%q, which is no number of microseconds up to a day: leave the variable to systemd (WatchdogSec= in the unit)", text)
	}
	return time.Duration(usec) * time.Microsecond, nil
}
