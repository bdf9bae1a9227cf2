package inbox

import (
	"errors"
	"net"
	"sync"
	"time"
)

// gate lets in so many connections at a time and knows them all.
type gate struct {
	net.Listener
	max    int
	idle   time.Duration // without a byte
	whole  time.Duration // of a connection
	turned func()        // called for each that is turned away

	mu     sync.Mutex
	open   map[*served]bool
	closed bool
}

// turnedAway is what a connection too many hears (RFC 5321 section 3.8, RFC
// 3463: 4.3.2); mail servers come again after a while.
const turnedAway = "421 4.3.2 too many connections, come again later\r\n"

func (g *gate) Accept() (net.Conn, error) {
	for {
		c, err := g.Listener.Accept()
		if err != nil {
			return nil, err
		}
		s := &served{Conn: c, gate: g, idle: g.idle, until: time.Now().Add(g.whole)}
		if g.admit(s) {
			return s, nil
		}
		g.turned() // before it hears so: who is told finds it counted
		_ = c.SetWriteDeadline(time.Now().Add(time.Second))
		_, _ = c.Write([]byte(turnedAway))
		_ = c.Close()
	}
}

func (g *gate) admit(s *served) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.closed || len(g.open) >= g.max {
		return false
	}
	g.open[s] = true
	return true
}

// shut lets nobody in any more. Connections that are in the middle of a
// message end after the answer to it, the others at once.
func (g *gate) shut() {
	g.mu.Lock()
	g.closed = true
	open := make([]*served, 0, len(g.open))
	for s := range g.open {
		open = append(open, s)
	}
	g.mu.Unlock()
	_ = g.Listener.Close() // an error means that it is closed already
	for _, s := range open {
		s.finish()
	}
}

// cut ends every connection.
func (g *gate) cut() {
	g.mu.Lock()
	defer g.mu.Unlock()
	for s := range g.open {
		_ = s.Conn.Close()
	}
}

func (g *gate) leave(s *served) {
	g.mu.Lock()
	defer g.mu.Unlock()
	delete(g.open, s)
}

// served is one connection. go-smtp sets a deadline around each command, and
// a single one for all of a message; here each read and write has its own, and
// the connection a last one.
type served struct {
	net.Conn
	gate  *gate
	idle  time.Duration
	until time.Time

	mu     sync.Mutex
	within bool // a message is being read or kept
	owing  int  // answers to it that are still to be written
	last   bool // ends once nothing is owed
}

func (s *served) deadline() time.Time {
	soon := time.Now().Add(s.idle)
	if soon.After(s.until) {
		return s.until
	}
	return soon
}

func (s *served) Read(b []byte) (int, error) {
	if err := s.Conn.SetReadDeadline(s.deadline()); err != nil {
		return 0, err
	}
	return s.Conn.Read(b)
}

func (s *served) Write(b []byte) (int, error) {
	if err := s.Conn.SetWriteDeadline(time.Now().Add(s.idle)); err != nil {
		return 0, err
	}
	n, err := s.Conn.Write(b)
	s.mu.Lock()
	if !s.within && s.owing > 0 {
		s.owing--
	}
	ends := s.free()
	s.mu.Unlock()
	if ends {
		_ = s.Conn.Close()
	}
	return n, err
}

// enter and answer mark the time in which a message is under way; then so
// many answers to it are owed.
func (s *served) enter() {
	s.mu.Lock()
	s.within = true
	s.mu.Unlock()
}

func (s *served) answer(owing int) {
	s.mu.Lock()
	s.within, s.owing = false, owing
	s.mu.Unlock()
}

// free tells whether the connection is to end now.
func (s *served) free() bool { return s.last && !s.within && s.owing == 0 }

func (s *served) finish() {
	s.mu.Lock()
	s.last = true
	ends := s.free()
	s.mu.Unlock()
	if ends {
		_ = s.Conn.Close()
	}
}

// Close ends the connection and makes room for another.
func (s *served) Close() error {
	s.gate.leave(s)
	if err := s.Conn.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}

// SetDeadline, SetReadDeadline and SetWriteDeadline leave the deadlines as
// they are: reads and writes set their own.
func (s *served) SetDeadline(time.Time) error      { return nil }
func (s *served) SetReadDeadline(time.Time) error  { return nil }
func (s *served) SetWriteDeadline(time.Time) error { return nil }
