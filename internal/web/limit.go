package web

import (
	"net/netip"
	"sync"
	"time"
)

// How many wrong links a network may try (our assumption): these at once, and
// one more each refill.
const (
	wrongLinks  = 20
	wrongRefill = 3 * time.Second
	// maxNetworks bounds what is remembered; beyond it everybody starts anew.
	maxNetworks = 4096
)

// limiter counts the wrong links of each network. It is safe for use by
// several goroutines.
type limiter struct {
	mu   sync.Mutex
	left map[netip.Prefix]allowance
}

// allowance is what a network has left, as of a moment.
type allowance struct {
	tries float64
	at    time.Time
}

func newLimiter() *limiter { return &limiter{left: map[netip.Prefix]allowance{}} }

// take counts a wrong link and reports whether it was within the limit.
func (l *limiter) take(from netip.Prefix, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	a, known := l.left[from]
	if !known {
		l.makeRoom(now)
		a = allowance{tries: wrongLinks, at: now}
	}
	a = a.refilled(now)
	ok := a.tries >= 1
	if ok {
		a.tries--
	}
	l.left[from] = a
	return ok
}

// makeRoom forgets the networks that have everything left again, and all of
// them where that frees nothing: a flood must not fill the memory.
func (l *limiter) makeRoom(now time.Time) {
	if len(l.left) < maxNetworks {
		return
	}
	for n, a := range l.left {
		if a.refilled(now).tries >= wrongLinks {
			delete(l.left, n)
		}
	}
	if len(l.left) >= maxNetworks {
		clear(l.left)
	}
}

func (a allowance) refilled(now time.Time) allowance {
	if since := now.Sub(a.at); since > 0 {
		a.tries = min(wrongLinks, a.tries+float64(since)/float64(wrongRefill))
	}
	a.at = now
	return a
}
