// Package app is the running program: it joins jobs and adapters, and starts and
// stops them in order.
package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/deliver"
	"budcall/internal/localpg"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/pull"
	"budcall/internal/web"
	"budcall/internal/webhook"
)

// Options says what is started and where.
type Options struct {
	Dir     string     // the configuration folder
	State   string     // the state folder; see StateDir
	DSN     string     // the database's address; empty: as configured, else a private PostgreSQL
	Clock   civil.Date // the day on which a simulated clock begins; zero: the wall clock
	Workers int        // jobs at a time; 0: four
	Version string
	Logger  *slog.Logger
	At      func(point string) // named points of the work, for fault tests; may be nil
}

// App is the running program. What starts later is stopped earlier.
type App struct {
	opt     Options
	log     *slog.Logger
	undo    []func(context.Context) error
	db      *postgres.DB
	local   *localpg.Server
	clock   *clock
	conf    *inForce
	links   links
	works   *works
	engine  *engine
	queue   *postgres.Queue
	gauges  *gauges
	pages   *pages
	listen  net.Addr
	watched time.Time // when a simulated program last looked after itself
}

// New starts the program up to where it is ready to work: state, database,
// migrations, configuration, pages. Step or Run makes it work. Where a step
// fails, what was started is stopped again.
func New(ctx context.Context, o Options) (*App, error) {
	a := &App{opt: o, log: o.Logger, gauges: newGauges(o.Version)}
	if err := makeStateDir(o.State); err != nil {
		return nil, err
	}
	for _, start := range []func(context.Context) error{a.openDatabase, a.openClock, a.openConfig, a.openJobs, a.openPages} {
		if err := start(ctx); err != nil {
			return nil, errors.Join(err, a.Close(context.WithoutCancel(ctx)))
		}
	}
	return a, nil
}

// onClose books how to undo a step that has succeeded.
func (a *App) onClose(f func(context.Context) error) { a.undo = append(a.undo, f) }

// Close stops what was started, in the reverse order.
func (a *App) Close(ctx context.Context) error {
	var errs []error
	for len(a.undo) > 0 {
		last := a.undo[len(a.undo)-1]
		a.undo = a.undo[:len(a.undo)-1]
		errs = append(errs, last(ctx))
	}
	return errors.Join(errs...)
}

// openDatabase connects to the database, or starts the private one.
func (a *App) openDatabase(ctx context.Context) error {
	dsn, err := a.dsn()
	if err != nil {
		return err
	}
	if dsn == "" {
		if a.local, err = localpg.Start(ctx, localpg.Options{Dir: filepath.Join(a.opt.State, "pg"), Logger: a.log}); err != nil {
			return err
		}
		a.onClose(a.local.Stop)
		dsn = a.local.DSN()
	}
	if err := postgres.Migrate(ctx, dsn); err != nil {
		return postgres.Explain(err)
	}
	if a.db, err = postgres.Open(ctx, postgres.Options{DSN: dsn, Logger: a.log}); err != nil {
		return err
	}
	a.onClose(func(context.Context) error { a.db.Close(); return nil })
	return a.db.Live(ctx)
}

// dsn gives the database's address: the option's, else the one in the file
// that the configuration names; empty for the private PostgreSQL. A bad
// configuration is no reason not to look for what was accepted before, so its
// problems are left to openConfig, and where to look is known from before.
func (a *App) dsn() (string, error) {
	if a.opt.DSN != "" {
		return a.opt.DSN, nil
	}
	p, problems, err := Load(a.opt.Dir)
	var file string
	if err == nil && len(problems) == 0 {
		file = p.Database.DSNFile
	} else if file, err = notedDatabase(a.opt.State); err != nil {
		return "", err
	}
	return (&secrets{dir: a.opt.Dir}).one(file)
}

func (a *App) openClock(ctx context.Context) error {
	a.clock = &clock{db: a.db, simulated: a.opt.Clock != 0}
	_, has, err := a.db.Clock(ctx)
	switch {
	case err != nil:
		return err
	case has && !a.clock.simulated:
		return errors.New("this database has lived in simulated time: go on with --clock DAY, or choose another --state DIR")
	case !has && a.clock.simulated:
		empty, err := a.db.Empty(ctx)
		if err != nil {
			return err
		}
		if !empty {
			return errors.New("this database has lived in real time: simulate in another, with --state DIR")
		}
		a.clock.first = a.opt.Clock.In(time.UTC, 0, 0)
	}
	return nil
}

func (a *App) openConfig(ctx context.Context) error {
	dir, err := filepath.Abs(a.opt.Dir)
	if err != nil {
		return fmt.Errorf("looking for the configuration: %w", err)
	}
	a.conf = &inForce{dir: dir, db: a.db, log: a.log, now: a.clock.now}
	if a.clock.simulated {
		a.conf.fit = harmless
	}
	if err := a.conf.start(ctx); err != nil {
		return err
	}
	if err := a.clock.begin(ctx); err != nil {
		return err
	}
	if a.opt.DSN == "" {
		if err := noteDatabase(a.opt.State, a.conf.programme().Database.DSNFile); err != nil {
			return err
		}
	}
	key, err := linkKey(a.opt.State)
	if err != nil {
		return err
	}
	a.links = links{key: key, base: func() string { return a.conf.programme().PublicURL }}
	a.engine = &engine{db: pgStore{a.db}, programme: a.conf.programme}
	return nil
}

func (a *App) openJobs(ctx context.Context) error {
	secrets := &secrets{dir: a.conf.dir}
	carry := &carrier{programme: a.conf.programme, secrets: secrets, hooks: webhook.New(webhook.Options{})}
	a.conf.changed = func() { secrets.forget(); carry.renew() }
	a.onClose(func(context.Context) error { return carry.close() })
	fetcher, err := newFetcher(a.opt.Version, contact(a.conf.programme()), a.clock, secrets, a.log)
	if err != nil {
		return err
	}
	over := func(ctx context.Context, subject string) error {
		return a.withNow(ctx, func(at time.Time) error { return a.db.Over(ctx, subject, at) })
	}
	raise := func(ctx context.Context, subject, text string) error {
		return a.withNow(ctx, func(at time.Time) error { return a.db.Raise(ctx, subject, text, at) })
	}
	a.db.Lost = a.lost
	a.works = &works{
		db: pgStore{a.db}, programme: a.conf.programme, dir: a.conf.dir, links: a.links, at: a.opt.At, memo: advance.NewMemo(sitesRemembered),
		pull: &pull.Job{Memory: a.db, Fetcher: fetcher, Logger: a.log, Trouble: raise, Over: over, Counted: a.gauges.pulled, Past: a.stored},
	}
	letters := deliver.Job{
		Box: a.db, Carrier: carry, Render: notice.Mail, Now: a.clock.now, Logger: a.log,
		Counted: a.gauges.sent, Trouble: raise, Over: over, At: a.opt.At,
	}
	workers := a.opt.Workers
	if workers == 0 {
		workers = 4
	}
	a.queue, err = a.db.NewQueue(postgres.Handlers{Work: a.works.do, Deliver: letters.Do, Seen: a.gauges.job}, workers)
	if err != nil {
		return err
	}
	if err := a.queue.Start(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("starting the job queue: %w", err)
	}
	a.onClose(func(ctx context.Context) error {
		ctx, cancel := context.WithTimeout(ctx, stopWithin)
		defer cancel()
		return a.queue.Stop(ctx)
	})
	_, err = a.db.Nudge(ctx, 0) // what a killed process left behind
	return err
}

// stopWithin is how long jobs in flight may go on after we are told to stop.
const stopWithin = 30 * time.Second

// contact is how a weather service reaches a person about our requests.
func contact(p *config.Programme) string {
	for _, f := range p.Forecasts {
		if f.Contact != "" {
			return f.Contact
		}
	}
	return p.Mail.From
}

func (a *App) withNow(ctx context.Context, f func(time.Time) error) error {
	at, err := a.clock.now(ctx)
	if err != nil {
		return err
	}
	return f(at)
}

// lost gives the run that decides anew on the sites of a letter that won't
// arrive: a mail that comes back is no answer.
func (a *App) lost(letter string, sites []string, at time.Time) (postgres.Plan, bool) {
	sites = known(a.conf.programme(), sites)
	return a.engine.occasion(runReport, "lost "+letter, at, sites), len(sites) > 0
}

func (a *App) openPages(ctx context.Context) error {
	prog := a.conf.programme()
	a.pages = &pages{
		db: a.db, engine: a.engine, programme: a.conf.programme, now: a.clock.now, simulated: func() bool { return a.clock.simulated }, links: a.links,
	}
	host, _, err := net.SplitHostPort(prog.Listen)
	if err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	handler := web.New(web.Options{
		Store: a.pages, Key: a.links.key, OpenBoard: loopback(host), PublicURL: prog.PublicURL, Logger: a.log, Version: a.opt.Version,
	})
	if a.listen, err = a.serve(ctx, "listen", prog.Listen, handler); err != nil {
		return err
	}
	if strings.HasSuffix(prog.PublicURL, ":0") { // a free port was asked for: say which it became
		at := a.listen.String()
		a.links.base = func() string { return "http://" + at }
		a.works.links = a.links
	}
	_, err = a.serve(ctx, "metrics", prog.Metrics, a.gauges.handler())
	return err
}

func (a *App) serve(ctx context.Context, setting, addr string, h http.Handler) (net.Addr, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("programme.yml: %s: can't open %s: %w (stop what uses the port, or choose another)", setting, addr, err)
	}
	s := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10}
	go func() {
		if err := s.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			a.log.Error("pages stopped", "setting", setting, "error", err)
		}
	}()
	a.onClose(func(ctx context.Context) error {
		ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
		defer cancel()
		if err := s.Shutdown(ctx); err != nil {
			return s.Close()
		}
		return nil
	})
	return l.Addr(), nil
}

// Programme gives the configuration in force.
func (a *App) Programme() *config.Programme { return a.conf.programme() }

// Address is where the pages are.
func (a *App) Address() string { return "http://" + a.listen.String() }

// DB is the program's memory.
func (a *App) DB() *postgres.DB { return a.db }

// hostname is how we name ourselves where nothing is configured.
func hostname() string {
	name, err := os.Hostname()
	if err != nil {
		return "localhost"
	}
	return name
}

// sitesRemembered is how many sites' past years are kept in memory from day to
// day, about a megabyte each.
const sitesRemembered = 48
