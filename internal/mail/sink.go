package mail

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"sync"
	"time"

	"github.com/emersion/go-smtp"
)

// SinkOptions are what a Sink needs; the zero value takes every mail and
// keeps it.
type SinkOptions struct {
	Addr      string      // an address on loopback; unset: 127.0.0.1 and a free port
	Domain    string      // the name it greets with; unset: sink.example
	TLS       *tls.Config // offers STARTTLS; unset: clear text only
	User      string      // asks for this user and password; also in clear text, as it is on loopback
	Password  string
	MaxBytes  int64         // of a mail; 10 MiB
	Timeout   time.Duration // without a command or a part of the body; 1 min
	Take      func(from, to string, raw []byte) error
	Script    func(Step) Answer // unset: all goes well
	Log       *slog.Logger      // troubles of the connections; unset: nowhere
	ErrorCode int               // the reply where Take gives an error; unset: 451
}

// Taken is a mail that a Sink has taken.
type Taken struct {
	From, To string
	Raw      []byte // as it came, lines ended by CRLF
}

// Sink is an SMTP server on loopback for the demo and for tests: it takes
// mails, and misbehaves if a script says so.
type Sink struct {
	options  SinkOptions
	listener net.Listener
	server   *smtp.Server
	stopped  chan struct{}

	mu    sync.Mutex
	taken []Taken
	count int // mails taken, over all connections
	conns int // connections that said EHLO
}

// ServeSink starts a Sink; it serves until ctx ends or Close is called.
// Without Take it keeps the mails in memory.
func ServeSink(ctx context.Context, o SinkOptions) (*Sink, error) {
	o = o.orDefaults()
	addr, err := netip.ParseAddrPort(o.Addr)
	if err != nil || !addr.Addr().IsLoopback() {
		return nil, fmt.Errorf("the mail sink listens on loopback only, not on %q: write for example 127.0.0.1:2525", o.Addr)
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", o.Addr)
	if err != nil {
		return nil, fmt.Errorf("opening the mail sink on %s: %w: choose another port, or stop what uses this one", o.Addr, err)
	}
	s := &Sink{options: o, listener: sinkListener{listener}, stopped: make(chan struct{})}
	s.server = smtp.NewServer(smtp.BackendFunc(s.session))
	s.server.Domain, s.server.TLSConfig, s.server.AllowInsecureAuth = o.Domain, o.TLS, true
	s.server.MaxMessageBytes, s.server.MaxRecipients = o.MaxBytes, 100
	s.server.ReadTimeout, s.server.WriteTimeout = o.Timeout, o.Timeout
	s.server.ErrorLog = sinkLog{o.Log}
	unhook := context.AfterFunc(ctx, func() { _ = s.end() })
	go func() {
		defer close(s.stopped)
		defer unhook()
		if err := s.server.Serve(s.listener); err != nil {
			o.Log.Error("mail sink stopped", "error", err)
		}
	}()
	return s, nil
}

func (o SinkOptions) orDefaults() SinkOptions {
	if o.Addr == "" {
		o.Addr = "127.0.0.1:0"
	}
	if o.Domain == "" {
		o.Domain = "sink.example"
	}
	if o.MaxBytes <= 0 {
		o.MaxBytes = 10 << 20
	}
	if o.Timeout <= 0 {
		o.Timeout = time.Minute
	}
	if o.ErrorCode == 0 {
		o.ErrorCode = 451
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Script == nil {
		o.Script = func(Step) Answer { return Answer{} }
	}
	return o
}

// Addr is the host:port that it listens on.
func (s *Sink) Addr() string { return s.listener.Addr().String() }

// Mails gives a copy of the list of mails kept so far; empty if Take is set.
func (s *Sink) Mails() []Taken {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Taken(nil), s.taken...)
}

// Connections is how many times somebody connected and said EHLO, counting
// the two of a STARTTLS as two.
func (s *Sink) Connections() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.conns
}

// Close ends it and its connections, and waits until it has stopped.
func (s *Sink) Close() error {
	err := s.end()
	<-s.stopped
	return err
}

// end closes the listener as well: a server that is closed before it serves
// doesn't know it yet.
func (s *Sink) end() error {
	if err := s.server.Close(); err != nil && !errors.Is(err, smtp.ErrServerClosed) && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("closing the mail sink: %w", err)
	}
	_ = s.listener.Close() // closed already if the server had it
	return nil
}

func (s *Sink) take(m Taken) (serial int, err error) {
	if s.options.Take != nil {
		if err := s.options.Take(m.From, m.To, m.Raw); err != nil {
			return 0, err
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.options.Take == nil {
		s.taken = append(s.taken, m)
	}
	s.count++
	return s.count, nil
}

type sinkLog struct{ *slog.Logger }

func (l sinkLog) Printf(format string, v ...any) { l.Warn(fmt.Sprintf(format, v...)) }
func (l sinkLog) Println(v ...any)               { l.Warn(fmt.Sprint(v...)) }
