package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"sync"
	"time"

	"budcall/internal/localpg"
	"budcall/internal/metrics"
)

// Installation is one or several programmes that run in one process. Several
// have the state folder, the private PostgreSQL and the addresses that they
// name alike together; memory, keys of links and everything that people see are
// each programme's own.
type Installation struct {
	state   string
	members []*member
	shared  *shared // nil: one programme, which has the state folder to itself
}

// member is one programme of an installation.
type member struct {
	code string
	opt  Options
	in   *Installation
	held bool // it was accepted here before, so that its trouble is no reason to stop the others

	mu      sync.Mutex
	app     *App
	bad     error            // why it doesn't run; nil where it does
	waiting *metrics.Metrics // says so, where it doesn't
}

// Where is where a programme's pages and numbers are.
type Where struct {
	Code    string
	Pages   string // address
	Metrics string // host:port, as configured
	State   string // its state folder
	Bad     error  // why it doesn't run; the rest but the code is empty then
}

// NewInstallation starts the programmes of configuration folders up to where
// they are ready to work; see New. One folder is one programme that has the
// state folder to itself, unless several have lived there. A programme that was
// accepted before and can't be started keeps no other from it: it is tried
// again by Run.
func NewInstallation(ctx context.Context, o Options, dirs []string) (*Installation, error) {
	if isHome(o.State) {
		o.State = filepath.Dir(o.State)
	}
	i := &Installation{state: o.State}
	if len(dirs) == 1 && len(homesIn(o.State)) == 0 {
		o.Dir = dirs[0]
		a, err := New(ctx, o)
		if err != nil {
			return nil, err
		}
		i.members = []*member{{code: a.Programme().Code, opt: o, app: a, in: i}}
		return i, nil
	}
	if o.DSN != "" {
		return nil, errors.New("one database is for one programme: with several, name each one's in its programme.yml (database: dsn_file), or leave that out, and each gets one in the private PostgreSQL")
	}
	if err := makeStateDir(o.State); err != nil {
		return nil, err
	}
	i.shared = &shared{
		of: i, listens: newListeners(o.Logger),
		local: localpg.Options{Dir: filepath.Join(o.State, "pg"), Logger: o.Logger, Settings: map[string]string{"max_connections": fmt.Sprint(connections(len(dirs)))}},
	}
	if err := i.begin(ctx, o, dirs); err != nil {
		return nil, errors.Join(err, i.Close(context.WithoutCancel(ctx)))
	}
	return i, nil
}

// connections is how many connections the private PostgreSQL of so many
// programmes allows: for each the 60 that one alone has.
func connections(programmes int) int { return 60 * max(1, programmes) }

// shared is what the programmes of one process have together.
type shared struct {
	of      *Installation
	listens *listeners
	local   localpg.Options

	mu     sync.Mutex
	server *localpg.Server // nil: nobody has needed it
}

// postgres gives the private PostgreSQL, started at the first call.
func (s *shared) postgres(ctx context.Context) (*localpg.Server, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server != nil {
		return s.server, nil
	}
	server, err := localpg.Start(ctx, s.local)
	if err == nil {
		s.server = server
	}
	return server, err
}

func (s *shared) close(ctx context.Context) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server == nil {
		return nil
	}
	return s.server.Stop(ctx)
}

// begin settles which folder is which programme, and starts them.
func (i *Installation) begin(ctx context.Context, o Options, dirs []string) error {
	if err := i.settle(o, dirs); err != nil {
		return err
	}
	if err := i.adopt(ctx); err != nil {
		return err
	}
	if err := i.rename(ctx, o.Renamed); err != nil {
		return err
	}
	if err := i.fitTogether(); err != nil {
		return err
	}
	var bad []error
	for _, m := range i.members {
		err := m.start(ctx)
		if err != nil && (!m.held || ctx.Err() != nil) {
			return err
		}
		bad = append(bad, err)
	}
	if len(i.Apps()) == 0 {
		return errors.Join(bad...)
	}
	return nil
}

// start starts a programme, or keeps why it can't be.
func (m *member) start(ctx context.Context) error {
	a, err := m.open(ctx)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.waiting != nil {
		m.in.shared.listens.waited(m.waiting)
		m.waiting = nil
	}
	if err == nil {
		m.app, m.bad = a, nil
		return nil
	}
	err = fmt.Errorf("programme %s: %w", m.code, err)
	if ctx.Err() != nil {
		return err
	}
	if m.bad == nil || m.bad.Error() != err.Error() {
		m.opt.Logger.ErrorContext(ctx, "a programme can't be started; it is tried again", "error", err)
	}
	m.bad = err
	m.waiting = metrics.New(metrics.Options{Version: m.opt.Version, Programme: m.code})
	m.waiting.SetReady(false, "it can't be started: "+err.Error())
	m.in.shared.listens.wait(m.waiting)
	return err
}

func (m *member) open(ctx context.Context) (*App, error) {
	if code := codeOf(m.opt.Dir); code != "" && code != m.code {
		return nil, fmt.Errorf("%s is the folder of the programme %s, and says now that it is %s: write %[2]s again; or, if it is called %[3]s from now on, start once with --renamed %[2]s=%[3]s; another programme belongs into a folder of its own", m.opt.Dir, m.code, code)
	}
	return New(ctx, m.opt)
}

func (m *member) running() *App {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.app
}

// Apps lists the programmes that run.
func (i *Installation) Apps() (apps []*App) {
	for _, m := range i.members {
		if a := m.running(); a != nil {
			apps = append(apps, a)
		}
	}
	return apps
}

// Where lists the programmes in the order of their folders.
func (i *Installation) Where() (all []Where) {
	for _, m := range i.members {
		m.mu.Lock()
		w := Where{Code: m.code, State: m.opt.State, Bad: m.bad}
		if m.app != nil {
			w.Pages, w.Metrics = m.app.Address()+m.app.under(), m.app.Programme().Metrics
		}
		m.mu.Unlock()
		all = append(all, w)
	}
	return all
}

// others gives what is in force of the other programmes that run.
func (i *Installation) others(dir string) (all []loadedFolder) {
	for _, m := range i.members {
		if a := m.running(); a != nil && m.opt.Dir != dir {
			all = append(all, loadedFolder{dir: m.opt.Dir, p: a.Programme()})
		}
	}
	return all
}

// retry is how long a programme that can't be started waits for the next try;
// tests shorten it.
var retry = 10 * time.Second

// Run works for all programmes until ctx ends; see App.Run.
func (i *Installation) Run(ctx context.Context) error {
	return i.each(ctx, func(ctx context.Context, a *App) error { return a.Run(ctx) })
}

// Simulate lets the simulated time of all programmes run; see App.Simulate. Each
// has a clock of its own: at one pace they go side by side.
func (i *Installation) Simulate(ctx context.Context, pace float64) error {
	return i.each(ctx, func(ctx context.Context, a *App) error { return a.Simulate(ctx, pace) })
}

// each lets every programme work until ctx ends, or one of them must end.
func (i *Installation) each(ctx context.Context, work func(context.Context, *App) error) (first error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	ended := make(chan error, len(i.members))
	for _, m := range i.members {
		go func() { ended <- m.work(ctx, work) }()
	}
	for range i.members {
		if err := <-ended; err != nil && first == nil {
			first = err
			cancel()
		}
	}
	return first
}

// work lets a programme work, once it can be started.
func (m *member) work(ctx context.Context, do func(context.Context, *App) error) error {
	for ctx.Err() == nil {
		if a := m.running(); a != nil {
			return do(ctx, a)
		}
		if m.start(ctx) == nil {
			m.opt.Logger.InfoContext(ctx, "the programme works now")
			continue
		}
		wait(ctx, retry)
	}
	return nil
}

// Watch pings systemd's watchdog, where there is one, as long as every programme
// makes progress; it returns when ctx ends.
func (i *Installation) Watch(ctx context.Context) error {
	if i.shared == nil {
		return i.members[0].app.Watch(ctx)
	}
	return i.shared.listens.watch.Watchdog(ctx, metrics.Notify)
}

// Announce tells systemd, where it started us, how we stand: READY=1 or STOPPING=1.
func (i *Installation) Announce(state string) error { return metrics.Notify(state) }

// Close stops the programmes, the one started last first, and then what they
// had together.
func (i *Installation) Close(ctx context.Context) error {
	var errs []error
	for n := len(i.members) - 1; n >= 0; n-- {
		m := i.members[n]
		if a := m.running(); a != nil {
			errs = append(errs, a.Close(ctx))
		}
	}
	if i.shared != nil {
		errs = append(errs, i.shared.close(ctx))
	}
	return errors.Join(errs...)
}

// loggerOf is a logger of one programme of several.
func loggerOf(log *slog.Logger, code string) *slog.Logger { return log.With("programme", code) }
