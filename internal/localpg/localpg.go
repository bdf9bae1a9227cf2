// Package localpg is the program's own PostgreSQL: a child process with its
// data in a folder of ours, reached by a socket only, started and stopped with
// us.
package localpg

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync/atomic"
	"syscall"
	"time"
)

// database is the name of the database and of the role that owns it.
const database = "budcall"

// How long PostgreSQL has for an orderly stop, and then for a hard one.
const (
	orderlyStop = 30 * time.Second
	hardStop    = 10 * time.Second
)

// Options says where the private PostgreSQL lives.
type Options struct {
	Dir      string            // the folder for its data, made when missing
	User     string            // as whom it runs when we are root; empty: postgres
	BinDir   string            // folder of its programs; empty: found on the machine
	Settings map[string]string // server settings on top of ours
	Logger   *slog.Logger      // gets PostgreSQL's own log; nil: nobody does
	Brief    bool              // for one question: who comes meanwhile waits, and isn't refused
}

// Server is a running private PostgreSQL.
type Server struct {
	dsn      string
	sockets  string
	child    *child
	lock     *os.File
	stopping atomic.Bool
}

// Start starts the PostgreSQL whose data are in o.Dir, making it the first
// time, and returns when it answers. It never deletes or upgrades data: a data
// folder of another version, or of another user, is refused and left alone.
// Every error ends in what to do; ErrInUse is one where another has the folder.
func Start(ctx context.Context, o Options) (*Server, error) {
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
	}
	p, err := prepare(o)
	if err != nil {
		return nil, err
	}
	lock, err := lockFolder(ctx, p.dir, o.Brief)
	if err != nil {
		return nil, err
	}
	s := &Server{lock: lock}
	if err := s.start(ctx, p, o); err != nil {
		return nil, errors.Join(err, s.Stop(context.WithoutCancel(ctx)))
	}
	return s, nil
}

// place is where a server lives, as whom, and by which programs.
type place struct {
	dir  string // absolute, without symbolic links
	data string // the data folder in it
	acc  account
	bin  binaries
}

// prepare looks whether everything that a server needs is there, and makes its
// folder.
func prepare(o Options) (place, error) {
	var p place
	var err error
	if p.acc, err = pickAccount(firstOf(o.User, "postgres")); err != nil {
		return p, err
	}
	if p.dir, err = resolve(o.Dir); err != nil {
		return p, err
	}
	p.data = filepath.Join(p.dir, "data")
	want, err := dataVersion(p.data)
	if err != nil {
		return p, err
	}
	if p.bin, err = findBinaries(o.BinDir, want); err != nil {
		return p, err
	}
	if err := errors.Join(p.acc.reaches(p.bin, p.dir), p.acc.holds(p.data), localDisk(filepath.Dir(p.dir))); err != nil {
		return p, err
	}
	return p, p.acc.own(p.dir)
}

// start does what needs the folder's lock.
func (s *Server) start(ctx context.Context, p place, o Options) error {
	held, err := takeOver(ctx, p, o.Logger)
	if err != nil {
		return err
	}
	defer held.Close() // postgres holds it from then on
	if _, err := os.Stat(filepath.Join(p.data, "PG_VERSION")); errors.Is(err, os.ErrNotExist) {
		if err := initialise(ctx, p); err != nil {
			return err
		}
	}
	if err := letIn(p.data, p.acc); err != nil {
		return err
	}
	if s.sockets, err = socketFolder(p); err != nil {
		return err
	}
	if s.child, err = launch(p, settings(s.sockets, o.Settings), held, o.Logger); err != nil {
		return err
	}
	s.dsn = address(s.sockets, database)
	return s.child.ready(ctx, s.sockets)
}

// DSN is the address of the database, for pgx.
func (s *Server) DSN() string { return s.dsn }

// Done is closed when PostgreSQL has ended, by Stop or otherwise.
func (s *Server) Done() <-chan struct{} { return s.child.done }

// Err says how PostgreSQL ended without Stop; nil while it runs and after Stop.
func (s *Server) Err() error {
	select {
	case <-s.child.done:
	default:
		return nil
	}
	if s.stopping.Load() {
		return nil
	}
	return fmt.Errorf("PostgreSQL ended on its own (%s)%s", s.child.cmd.ProcessState, s.child.lastWords())
}

// Stop ends PostgreSQL: connections are cut, everything committed is on disk.
// After 30 s, or when ctx ends, it is ended the hard way, which loses nothing
// either and is told by an error. A second Stop does nothing.
func (s *Server) Stop(ctx context.Context) error {
	defer s.lock.Close()
	if s.child == nil || s.child.ended() {
		return nil
	}
	defer os.Remove(s.sockets) // made anew at each start; stays while something is in it
	s.stopping.Store(true)
	s.child.signal(syscall.SIGINT)
	select {
	case <-s.child.done:
		return nil
	case <-ctx.Done():
	case <-time.After(orderlyStop):
	}
	s.child.signal(syscall.SIGQUIT)
	select {
	case <-s.child.done:
	case <-time.After(hardStop):
		s.child.signal(syscall.SIGKILL)
		<-s.child.done
	}
	return errors.New("the private PostgreSQL had to be stopped the hard way (nothing is lost: it recovers by itself at the next start)")
}
