package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"budcall/internal/metrics"
	"budcall/internal/web"
)

// listeners is where a process listens. Programmes whose files name the same
// address share it; it is closed when the last of them has gone.
type listeners struct {
	log   *slog.Logger
	watch metrics.Together // the programmes that work, for systemd

	mu      sync.Mutex
	open    map[string]*listener // by setting and address
	waiting []*metrics.Metrics   // of programmes that don't work: told wherever numbers are told
}

func newListeners(log *slog.Logger) *listeners {
	return &listeners{log: log, open: map[string]*listener{}}
}

// listener is one open address: of pages or of numbers.
type listener struct {
	at      net.Addr
	server  *http.Server
	users   int
	front   *web.Front
	numbers *metrics.Together
}

// leave takes a programme out of a listener again.
type leave func(context.Context) error

// pages serves a programme's pages at an address.
func (l *listeners) pages(ctx context.Context, addr string, p *web.Place) (net.Addr, leave, error) {
	front := web.NewFront(l.log)
	at, err := l.join(ctx, "listen", addr, &listener{front: front}, front)
	if err != nil {
		return nil, nil, err
	}
	at.front.Add(p)
	return at.at, func(ctx context.Context) error {
		at.front.Remove(p)
		return l.left(ctx, at)
	}, nil
}

// numbers serves a programme's metrics and health at an address, and has systemd
// told as long as it makes progress.
func (l *listeners) numbers(ctx context.Context, addr string, m *metrics.Metrics) (net.Addr, leave, error) {
	all := &metrics.Together{}
	at, err := l.join(ctx, "metrics", addr, &listener{numbers: all}, all.Handler())
	if err != nil {
		return nil, nil, err
	}
	at.numbers.Add(m)
	l.watch.Add(m)
	return at.at, func(ctx context.Context) error {
		at.numbers.Remove(m)
		l.watch.Remove(m)
		return l.left(ctx, at)
	}, nil
}

// wait tells of a programme that doesn't work, wherever numbers are told.
func (l *listeners) wait(m *metrics.Metrics) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.waiting = append(l.waiting, m)
	for _, at := range l.open {
		if at.numbers != nil {
			at.numbers.Add(m)
		}
	}
}

// waited ends what wait began.
func (l *listeners) waited(m *metrics.Metrics) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i, one := range l.waiting {
		if one == m {
			l.waiting = append(l.waiting[:i:i], l.waiting[i+1:]...)
			break
		}
	}
	for _, at := range l.open {
		if at.numbers != nil {
			at.numbers.Remove(m)
		}
	}
}

// join gives the listener of an address, opening fresh there if nobody has yet.
func (l *listeners) join(ctx context.Context, setting, addr string, fresh *listener, h http.Handler) (*listener, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	name := setting + " " + addr
	if at, ok := l.open[name]; ok {
		at.users++
		return at, nil
	}
	socket, err := (&net.ListenConfig{}).Listen(ctx, "tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("programme.yml: %s: can't open %s: %w (stop what uses the port, or choose another)", setting, addr, err)
	}
	fresh.at, fresh.users = socket.Addr(), 1
	fresh.server = &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10}
	go func() {
		if err := fresh.server.Serve(socket); !errors.Is(err, http.ErrServerClosed) {
			l.log.Error("pages stopped", "setting", setting, "error", err)
		}
	}()
	if strings.HasSuffix(addr, ":0") { // a free port is nobody else's
		name = setting + " " + fresh.at.String()
	}
	l.open[name] = fresh
	if fresh.numbers != nil {
		for _, m := range l.waiting {
			fresh.numbers.Add(m)
		}
	}
	return fresh, nil
}

// left closes a listener that nobody uses any more.
func (l *listeners) left(ctx context.Context, at *listener) error {
	l.mu.Lock()
	at.users--
	last := at.users == 0
	if last {
		for name, one := range l.open {
			if one == at {
				delete(l.open, name)
			}
		}
	}
	l.mu.Unlock()
	if !last {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	if err := at.server.Shutdown(ctx); err != nil {
		return at.server.Close()
	}
	return nil
}
