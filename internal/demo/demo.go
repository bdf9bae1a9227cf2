// Package demo plays the invented programme through a whole season, with the
// real engine, invented weather and simulated people.
package demo

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/localpg"
	"budcall/internal/mail"
	"budcall/internal/webhook"
)

// The days that are played.
var (
	firstDay = civil.Of(seasonYear, 2, 15)
	lastDay  = civil.Of(seasonYear, 10, 5)
)

// seed is the weather and the people of the season that everybody sees; it was
// picked for a spring in which something happens.
const seed = 5

// Options says what is played and where the result goes.
type Options struct {
	Dir     string    // the programme's configuration folder
	Out     string    // the folder for mails and pictures; empty: a fresh temporary one
	Stay    bool      // leaves the season board open until ctx ends
	Stdout  io.Writer // gets the season table and the last line
	Version string
	Logger  *slog.Logger // of the program that is played; nil: nowhere
	Springs app.Springs  // replays past springs for previews of changed settings; nil: they aren't

	// Progress is told of each day played, and of the mails until then; Played
	// that no day is left, before anything is written to Stdout. nil: nobody is.
	Progress func(day, first, last civil.Date, mails int)
	Played   func()
}

// Result is the season in numbers.
type Result struct {
	Sites   int
	Calls   int    // tasks at sites that somebody was asked to do
	Mails   int    // that arrived
	Reports int    // of what was seen or done; answers don't count
	Out     string // where mails and pictures are
	Table   string // a row a site
}

// String is the last line of a season.
func (r Result) String() string {
	return fmt.Sprintf("season played: %d sites, %d calls, %d mails, %d reports", r.Sites, r.Calls, r.Mails, r.Reports)
}

// Play plays the season. It is an error if any site doesn't end with bags,
// reports and mails as they must be; see outcome.missed.
func Play(ctx context.Context, o Options) (Result, error) {
	// Much is computed and little kept: collecting rarely makes it a tenth faster.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	s, err := open(ctx, o)
	if err != nil {
		return Result{}, errors.Join(err, s.close())
	}
	r, err := s.play(ctx)
	return r, errors.Join(err, s.close())
}

// show is a season being played: the program, and what stands in for the
// world around it.
type show struct {
	Options
	last      civil.Date // that is played
	programme *config.Programme
	sky       *sky
	stations  []station
	wrong     misread
	temp      string
	written   civil.Date // the day for which the station files were written last
	now       clockHand
	box       *letterbox
	events    *webhook.Sink
	outlook   *outlookServer
	app       *app.App
	dsn       string // of the program's PostgreSQL
	crew      *crew
	watch     *watch
	undo      []func() error
}

func (s *show) onClose(f func() error) { s.undo = append(s.undo, f) }

func (s *show) close() error {
	var errs []error
	for i := len(s.undo) - 1; i >= 0; i-- {
		errs = append(errs, s.undo[i]())
	}
	s.undo = nil
	return errors.Join(errs...)
}

// open starts everything that a season needs.
func open(ctx context.Context, o Options) (*show, error) {
	s := &show{Options: o, last: lastDay, sky: newSky(seed, firstYear, seasonYear), box: &letterbox{}}
	if s.Logger == nil {
		s.Logger = slog.New(slog.DiscardHandler)
	}
	for _, step := range []func(context.Context) error{s.readProgramme, s.makeFolders, s.openWorld, s.openApp} {
		if err := step(ctx); err != nil {
			return s, err
		}
	}
	fmt.Fprintf(s.Stdout, "%s, %s to %s %d: played as %s says, but with invented weather and forecasts, and a mail relay and a webhook on this machine (%s).\n\n",
		s.programme.Name, dayMonth(firstDay), dayMonth(lastDay), seasonYear, s.Dir, s.configDir())
	s.watch = newWatch(s.programme)
	s.crew = newCrew(s.programme, s.sky)
	s.crew.post, s.crew.bench = post{s.app}, bench{s.beside()}
	return s, nil
}

func (s *show) readProgramme(context.Context) error {
	p, problems, err := app.Load(s.Dir)
	if err != nil {
		return err
	}
	if len(problems) > 0 {
		return fmt.Errorf("the programme can't be played as it stands:\n%s", strings.TrimRight(app.Problems(s.Dir, problems), "\n"))
	}
	s.programme = p
	s.stations = s.sky.stations(p)
	s.wrong = misread{station: s.stations[0].code, day: civil.Of(seasonYear, 4, 10), byK: 7, mended: civil.Of(seasonYear, 4, 14)}
	return nil
}

// makeFolders makes the folder of the result, which must be empty, and a
// temporary one that the user of a private PostgreSQL can pass through.
func (s *show) makeFolders(context.Context) (err error) {
	if s.Out == "" {
		if s.Out, err = os.MkdirTemp("", "budcall-season-"); err != nil {
			return fmt.Errorf("making a folder for mails and pictures: %w (name one with --out DIR)", err)
		}
	}
	if err := os.MkdirAll(s.Out, 0o755); err != nil {
		return fmt.Errorf("making the folder for mails and pictures: %w (name another with --out DIR)", err)
	}
	if have, err := os.ReadDir(s.Out); err != nil || len(have) > 0 {
		return errors.Join(err, fmt.Errorf("%s isn't empty: name a new or empty folder with --out DIR", s.Out))
	}
	if s.temp, err = os.MkdirTemp("", "budcall-demo-"); err != nil {
		return fmt.Errorf("making a temporary folder: %w (name a place that you may write to in TMPDIR)", err)
	}
	s.onClose(func() error { return os.RemoveAll(s.temp) })
	if err := os.Chmod(s.temp, 0o711); err != nil {
		return fmt.Errorf("opening %s to PostgreSQL: %w", s.temp, err)
	}
	for _, dir := range []string{s.weatherDir(), s.configDir()} {
		if err := os.Mkdir(dir, 0o755); err != nil {
			return fmt.Errorf("making a temporary folder: %w", err)
		}
	}
	return nil
}

func (s *show) weatherDir() string { return filepath.Join(s.temp, "weather") }
func (s *show) configDir() string  { return filepath.Join(s.Out, "config") }

// openWorld starts the mail sink, the webhook sink and the forecast service.
func (s *show) openWorld(ctx context.Context) error {
	ctx = context.WithoutCancel(ctx)
	s.now.set(firstDay.In(time.UTC, 0, 0))
	sink, err := mail.ServeSink(ctx, mail.SinkOptions{Take: s.box.take, Log: s.Logger})
	if err != nil {
		return err
	}
	s.onClose(sink.Close)
	secret, err := webhook.NewSecret(rand.Reader)
	if err != nil {
		return err
	}
	if s.events, err = webhook.ServeSink(ctx, webhook.SinkOptions{Secret: secret}); err != nil {
		return err
	}
	s.onClose(s.events.Close)
	if s.outlook, err = serveOutlook(ctx, s.sky, s.now.get); err != nil {
		return err
	}
	s.onClose(s.outlook.close)
	return overlay(s.Dir, s.configDir(), s.programme, ours{
		relay: sink.Addr(), hook: s.events.URL(), secret: secret, outlook: s.outlook.url(), weather: s.weatherDir(),
	})
}

// thrownAway are PostgreSQL's settings for data that may be lost: a season is
// played anew, so nothing waits for the disk.
var thrownAway = map[string]string{"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}

func (s *show) openApp(ctx context.Context) (err error) {
	if err := s.writeWeather(firstDay); err != nil {
		return err
	}
	pg, err := localpg.Start(ctx, localpg.Options{Dir: filepath.Join(s.temp, "pg"), Settings: thrownAway, Logger: s.Logger})
	if err != nil {
		return err
	}
	s.onClose(func() error { return pg.Stop(context.WithoutCancel(ctx)) })
	s.dsn = pg.DSN()
	s.app, err = app.New(ctx, app.Options{
		Dir: s.configDir(), State: filepath.Join(s.temp, "state"), DSN: pg.DSN(), Clock: firstDay, Version: s.Version, Logger: s.Logger, Springs: s.Springs,
	})
	if err != nil {
		return err
	}
	s.onClose(func() error { return s.app.Close(context.WithoutCancel(ctx)) })
	return nil
}

// beside says how the program's memory is opened by a command beside it.
func (s *show) beside() app.Options {
	return app.Options{DSN: s.dsn, State: filepath.Join(s.temp, "state"), Version: s.Version, Logger: s.Logger}
}
