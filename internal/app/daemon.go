// Package app is the running program: it joins jobs and adapters, and starts and
// stops them in order.
package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
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
	Wall    func() time.Time   // the wall clock; nil: time.Now
	Springs Springs            // replays past springs for previews of changed settings; nil: they aren't

	// Renamed gives, by the code that a programme had, the one that it has now:
	// its memory goes on under that.
	Renamed map[string]string

	mayWrite func(dir, file string) error // whether files of the folder may be replaced; nil: tried

	home   home    // where the memory is, of one programme of several
	shared *shared // what programmes of one process have together; nil: it is alone
}

// App is the running program. What starts later is stopped earlier.
type App struct {
	opt      Options
	log      *slog.Logger
	undo     []func(context.Context) error
	db       *postgres.DB
	local    *localpg.Server
	clock    *clock
	conf     *inForce
	journal  *journal
	links    links
	works    *works
	engine   *engine
	queue    *postgres.Queue
	gauges   *gauges
	pages    *pages
	desk     *desk // where sites' settings are changed
	listens  *listeners
	mailroom *mailroom // nil: no mails come in
	arrivals string
	owner    string // the code of the programme whose memory this is
	listen   net.Addr
	free     atomic.Pointer[string] // the address of the pages, where a free port was asked for
	swept    civil.Date             // when what was kept for its time was last dropped
	watched  time.Time              // when a simulated program last looked after itself
}

// New starts the program up to where it is ready to work: state, database,
// migrations, configuration, pages. Step or Run makes it work. Where a step
// fails, what was started is stopped again.
func New(ctx context.Context, o Options) (*App, error) {
	a := &App{opt: o, log: o.Logger}
	if o.shared != nil {
		a.listens = o.shared.listens
	} else {
		a.listens = newListeners(o.Logger)
	}
	if err := makeStateDir(o.State); err != nil {
		return nil, err
	}
	for _, start := range []func(context.Context) error{a.openDatabase, a.openClock, a.openConfig, a.holdFirst, a.openJobs, a.openPages, a.openInbox} {
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

func (a *App) openClock(ctx context.Context) error {
	a.clock = &clock{db: a.db, simulated: a.opt.Clock != 0, wall: a.opt.Wall}
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
	a.conf = &inForce{dir: dir, db: a.db, log: a.log, now: a.clock.now, fit: a.fit, mayWrite: writable}
	if a.opt.mayWrite != nil {
		a.conf.mayWrite = a.opt.mayWrite
	}
	if err := a.owned(ctx); err != nil {
		return err
	}
	a.desk = &desk{db: a.db, conf: a.conf, links: func() links { return a.links }, springs: a.opt.Springs, log: a.log, at: a.opt.At, playing: make(chan struct{}, 1)}
	a.conf.overtaken = a.desk.overtaken
	if err := a.conf.start(ctx); err != nil {
		return err
	}
	a.owner = a.conf.programme().Code
	a.gauges = newGauges(a.opt.Version, a.owner)
	if err := a.clock.begin(ctx); err != nil {
		return err
	}
	if a.opt.DSN == "" {
		if err := noteDatabase(a.opt.State, a.conf.programme().Database.DSNFile); err != nil {
			return err
		}
	}
	if a.opt.shared != nil {
		if err := noteFolder(a.opt.State, dir); err != nil {
			return err
		}
	}
	key, err := linkKey(a.opt.State)
	if err != nil {
		return err
	}
	a.links = links{key: key, base: a.public}
	a.engine = &engine{db: pgStore{a.db}, programme: a.conf.programme, overviews: true}
	a.desk.engine = a.engine
	return nil
}

func (a *App) openJobs(ctx context.Context) error {
	secrets := &secrets{dir: a.conf.dir}
	carry := &carrier{mails: a.db.RawMail, programme: a.conf.programme, secrets: secrets, hooks: webhook.New(webhook.Options{})}
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
		db: pgStore{a.db}, week: a.db, programme: a.conf.programme, dir: a.conf.dir, links: a.links, at: a.opt.At, memo: advance.NewMemo(sitesRemembered),
		pull: &pull.Job{Memory: a.db, Fetcher: fetcher, Logger: a.log, Trouble: raise, Over: over, Counted: a.gauges.pulled, Past: stored(a.db)},
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
		db: a.db, engine: a.engine, programme: a.conf.programme, now: a.clock.now, simulated: func() bool { return a.clock.simulated }, links: a.links, log: a.log,
	}
	host, _, err := net.SplitHostPort(prog.Listen)
	if err != nil {
		return fmt.Errorf("listen: %w", err)
	}
	handler := web.New(web.Options{
		Store: a.pages, Holder: a.pages, Calendars: a.pages, Settings: a.desk, Key: a.links.key, OpenBoard: config.IsLoopback(host), PublicURL: prog.PublicURL, Logger: a.log, Version: a.opt.Version,
		LangOf: a.pages.langOf,
	})
	place := &web.Place{Path: func() string { return a.conf.programme().PublicPath() }, Pages: handler}
	var gone leave
	if a.listen, gone, err = a.listens.pages(ctx, prog.Listen, place); err != nil {
		return err
	}
	a.onClose(gone)
	if strings.HasSuffix(prog.PublicURL, ":0") { // a free port was asked for: say which it became
		at := "http://" + a.listen.String()
		a.free.Store(&at)
	}
	_, gone, err = a.listens.numbers(ctx, prog.Metrics, a.gauges.m)
	if err == nil {
		a.onClose(gone)
	}
	return err
}

// Programme gives the configuration in force.
func (a *App) Programme() *config.Programme { return a.conf.programme() }

// public is the address that links begin with: the configured one, or where
// that leaves the port open the one that it became.
func (a *App) public() string {
	if at := a.free.Load(); at != nil {
		return *at
	}
	return a.conf.programme().PublicURL
}

// under is the path of the pages at an address that several programmes share;
// alone they are at the root.
func (a *App) under() string {
	if a.opt.shared == nil {
		return ""
	}
	return a.Programme().PublicPath()
}

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
