package cli

import (
	"context"
	"os"
	"os/signal"
	"sync"
	"syscall"
)

// signals turns the signals that a running program gets into contexts.
type signals struct {
	working context.Context // ends with the first SIGTERM or SIGINT
	closing context.Context // ends with the second

	stop func()
	mu   sync.Mutex
	look context.CancelFunc // ends the round
}

// listen begins to take signals.
func listen(ctx context.Context) *signals {
	s := &signals{}
	var stopWorking, stopClosing context.CancelFunc
	s.working, stopWorking = context.WithCancel(ctx)
	s.closing, stopClosing = context.WithCancel(context.WithoutCancel(ctx))
	got := make(chan os.Signal, 4)
	ended := make(chan struct{})
	signal.Notify(got, syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP)
	s.stop = func() {
		signal.Stop(got)
		close(ended)
		stopWorking()
		stopClosing()
	}
	go func() {
		for {
			select {
			case <-ended:
				return
			case sig := <-got:
				switch {
				case sig == syscall.SIGHUP:
					s.again()
				case s.working.Err() == nil:
					stopWorking()
				default:
					stopClosing()
				}
			}
		}
	}()
	return s
}

func (s *signals) close() { s.stop() }

// round gives a context that ends with the next SIGHUP: work is left off where
// it is and begun anew, and the first thing it does is look at the
// configuration.
func (s *signals) round() (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(s.working)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.look = cancel
	return ctx, cancel
}

func (s *signals) again() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.look != nil {
		s.look()
	}
}
