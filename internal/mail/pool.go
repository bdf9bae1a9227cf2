package mail

import (
	"context"
	"errors"
	"sync"
	"time"
)

// Pool says how many connections there may be, and how long they are kept;
// zero takes the default.
type Pool struct {
	Conns int           // at a time; 4: relays count them
	Idle  time.Duration // a connection without mails is closed after it; 30 s
	Mails int           // over one connection; 100: relays balance and re-read their settings by connection
}

var errClosed = errors.New("sending has been stopped")

// pool hands out the connections kept. A place is held from take to leave,
// whether a kept connection came with it or not.
type pool struct {
	Pool
	places chan struct{}
	mu     sync.Mutex
	idle   []*session // most recently used last
	timers map[*session]*time.Timer
	closed bool
}

func newPool(p Pool) *pool {
	if p.Conns <= 0 {
		p.Conns = 4
	}
	if p.Idle <= 0 {
		p.Idle = 30 * time.Second
	}
	if p.Mails <= 0 {
		p.Mails = 100
	}
	return &pool{Pool: p, places: make(chan struct{}, p.Conns), timers: map[*session]*time.Timer{}}
}

// take waits for a place and gives the connection used last, or nil.
func (p *pool) take(ctx context.Context) (*session, error) {
	select {
	case p.places <- struct{}{}:
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || ctx.Err() != nil {
		<-p.places
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		return nil, errClosed
	}
	n := len(p.idle)
	if n == 0 {
		return nil, nil
	}
	c := p.idle[n-1]
	p.remove(c)
	return c, nil
}

// leave gives the place back.
func (p *pool) leave() { <-p.places }

// keep puts a connection by for the next mail, or ends it if it is used up.
func (p *pool) keep(c *session) {
	p.mu.Lock()
	keep := !p.closed && c.mails < p.Mails
	if keep {
		p.idle = append(p.idle, c)
		p.timers[c] = time.AfterFunc(p.Idle, func() { p.expire(c) })
	}
	p.mu.Unlock()
	if !keep {
		c.quit()
	}
}

// expire ends a connection that nobody has taken meanwhile.
func (p *pool) expire(c *session) {
	p.mu.Lock()
	mine := p.remove(c)
	p.mu.Unlock()
	if mine {
		c.quit()
	}
}

// remove takes a connection out of those kept; false if it isn't among them
// any more, and so somebody else's. The lock is held.
func (p *pool) remove(c *session) bool {
	timer, ok := p.timers[c]
	if !ok {
		return false
	}
	timer.Stop()
	delete(p.timers, c)
	for i, other := range p.idle {
		if other == c {
			p.idle = append(p.idle[:i], p.idle[i+1:]...)
			break
		}
	}
	return true
}

func (p *pool) close() {
	p.mu.Lock()
	kept := p.idle
	for _, timer := range p.timers {
		timer.Stop()
	}
	p.idle, p.timers, p.closed = nil, map[*session]*time.Timer{}, true
	p.mu.Unlock()
	for _, c := range kept {
		c.quit()
	}
}
