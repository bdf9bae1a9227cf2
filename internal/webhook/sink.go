package webhook

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"sync"
	"time"
)

// SinkOptions are what a Sink needs; only Secret must be set.
type SinkOptions struct {
	Addr   string           // an address on loopback; unset: 127.0.0.1 and a free port
	Secret string           // whsec_… or base64
	Now    func() time.Time // the receiving clock; unset: the machine's
	Take   func(id string, body []byte) error
	Script func(Delivery) Answer // unset: all goes well
}

// Delivery is what a script is asked about: an event, verified and not yet
// taken.
type Delivery struct {
	ID    string
	Count int // deliveries of all ids so far, with this one
}

// Answer is what a script wants; the zero value takes the event and says 204.
type Answer struct {
	Code       int           // says this instead
	RetryAfter time.Duration // in whole seconds, with Code
	Take       bool          // takes the event although Code or Drop says otherwise
	Delay      time.Duration // waits first, or until the sender has gone
	Drop       bool          // ends the connection instead of replying
}

// Received is an event that a Sink has taken.
type Received struct {
	ID   string
	Body []byte
}

// Sink is a receiving end on loopback for the demo and for tests: it verifies
// signatures, takes events, and misbehaves if a script says so.
type Sink struct {
	options  SinkOptions
	listener net.Listener
	server   *http.Server
	stopped  chan struct{}

	mu    sync.Mutex
	taken []Received
	count int
}

// ServeSink starts a Sink; it serves until ctx ends or Close is called.
// Without Take it keeps the events in memory.
func ServeSink(ctx context.Context, o SinkOptions) (*Sink, error) {
	if o.Addr == "" {
		o.Addr = "127.0.0.1:0"
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Script == nil {
		o.Script = func(Delivery) Answer { return Answer{} }
	}
	addr, err := netip.ParseAddrPort(o.Addr)
	if err != nil || !addr.Addr().IsLoopback() {
		return nil, fmt.Errorf("the webhook sink listens on loopback only, not on %q: write for example 127.0.0.1:8081", o.Addr)
	}
	if _, err := key(o.Secret); err != nil {
		return nil, fmt.Errorf("the webhook sink's secret can't be used: %w: make a new one", err)
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", o.Addr)
	if err != nil {
		return nil, fmt.Errorf("opening the webhook sink on %s: %w: choose another port, or stop what uses this one", o.Addr, err)
	}
	s := &Sink{options: o, listener: listener, stopped: make(chan struct{})}
	s.server = &http.Server{
		Handler: http.HandlerFunc(s.serve), ReadTimeout: time.Minute, WriteTimeout: time.Minute,
		MaxHeaderBytes: maxReply, BaseContext: func(net.Listener) context.Context { return ctx },
	}
	unhook := context.AfterFunc(ctx, func() { _ = s.end() })
	go func() {
		defer close(s.stopped)
		defer unhook()
		_ = s.server.Serve(listener) // it ends by being closed
	}()
	return s, nil
}

// URL is the address to send events to.
func (s *Sink) URL() string { return "http://" + s.listener.Addr().String() + "/events" }

// Events gives a copy of the list of events kept so far; empty if Take is set.
func (s *Sink) Events() []Received {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Received(nil), s.taken...)
}

// Close ends it and its connections, and waits until it has stopped.
func (s *Sink) Close() error {
	err := s.end()
	<-s.stopped
	return err
}

func (s *Sink) end() error {
	err := s.server.Close()
	_ = s.listener.Close() // a server that is closed before it serves doesn't know it yet
	if err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("closing the webhook sink: %w", err)
	}
	return nil
}

func (s *Sink) serve(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodPost || r.URL.Path != "/events" {
		http.Error(w, "post events to /events", http.StatusNotFound)
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, MaxBody-1))
	if err != nil {
		http.Error(w, "the body is too large or cut off", http.StatusRequestEntityTooLarge)
		return
	}
	if err := Verify(s.options.Secret, r.Header, body, s.options.Now()); err != nil {
		http.Error(w, err.Error(), http.StatusUnauthorized)
		return
	}
	s.answer(w, r, Received{ID: r.Header.Get(HeaderID), Body: body})
}

func (s *Sink) answer(w http.ResponseWriter, r *http.Request, got Received) {
	s.mu.Lock()
	s.count++
	count := s.count
	s.mu.Unlock()
	answer := s.options.Script(Delivery{ID: got.ID, Count: count})
	if answer.Delay > 0 {
		timer := time.NewTimer(answer.Delay)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-r.Context().Done():
			panic(http.ErrAbortHandler) // net/http's way to drop a connection
		}
	}
	if answer.Take || answer.Code == 0 && !answer.Drop {
		if err := s.take(got); err != nil {
			http.Error(w, err.Error(), http.StatusServiceUnavailable)
			return
		}
	}
	switch {
	case answer.Drop:
		panic(http.ErrAbortHandler)
	case answer.RetryAfter > 0:
		w.Header().Set("Retry-After", strconv.Itoa(int(answer.RetryAfter/time.Second)))
	}
	if answer.Code == 0 {
		answer.Code = http.StatusNoContent
	}
	w.WriteHeader(answer.Code)
}

func (s *Sink) take(got Received) error {
	if s.options.Take != nil {
		return s.options.Take(got.ID, got.Body)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.taken = append(s.taken, got)
	return nil
}
