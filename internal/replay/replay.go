// Package replay plays a season of a programme in memory, day by day and with
// only what was known, through the same engine and jobs as the running
// program's.
package replay

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"budcall/internal/advance"
	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/pull"
	"budcall/internal/season"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Options says what is played. Programme, From and a Key of at least 32 bytes
// are needed.
type Options struct {
	Programme *config.Programme
	Dir       string    // of the configuration: station files are relative to it
	From      time.Time // when the program is first started
	// Series is the readings of stations, by code; a station without them is
	// pulled from its file, as the running program does. They are only read,
	// so that seasons played beside each other can share them.
	Series map[string]*Series
	// Outlook gives a site's short-range forecast as it was known at at, and
	// when it was issued; nil: there never was one. Its days may be shared.
	Outlook func(ctx context.Context, site string, at time.Time) (days []weather.Day, issued time.Time, err error)
	Key     []byte         // signs the links in letters
	Base    string         // begins them; empty: the programme's public address
	Past    []trail.Report // of earlier seasons, in the order in which they came
	// Memo keeps what past years tell. Seasons of one Programme can share it;
	// nil: this season has its own.
	Memo   *advance.Memo
	Keep   bool          // keeps letters, changes, tellings and forecasts: see Kept
	OnTold func(Telling) // is called for each thing that is put into a letter; it must not call the Season
}

// Season is a season being played. It isn't safe for use by several goroutines.
type Season struct {
	memory *memory
	player *app.Player
	zones  map[string]*time.Location // of sites
	begun  bool
}

// mostRemembered is for how many sites a season keeps what past years tell,
// about a megabyte each.
const mostRemembered = 200

// New gives a season in which nothing has happened yet.
func New(o Options) (*Season, error) {
	switch {
	case o.Programme == nil:
		return nil, errors.New("no programme is given: there is nothing to play")
	case o.From.IsZero():
		return nil, errors.New("it isn't said when the season begins: give From")
	case len(o.Key) < 32:
		return nil, fmt.Errorf("the key that signs links has %d bytes: give at least 32", len(o.Key))
	}
	if o.Memo == nil {
		o.Memo = advance.NewMemo(min(len(o.Programme.Sites), mostRemembered))
	}
	m := newMemory(o)
	for _, st := range o.Programme.Stations {
		if o.Series[st.Code] == nil && st.Path == "" {
			return nil, fmt.Errorf("the station %s is fetched from a service, and a past season asks none: give its readings", st.Code)
		}
	}
	s := &Season{memory: m, zones: map[string]*time.Location{}}
	for _, site := range o.Programme.Sites {
		s.zones[site.Code] = site.Zone
	}
	job := &pull.Job{
		Memory: m, Fetcher: files{}, Logger: slog.New(slog.DiscardHandler),
		Trouble: func(_ context.Context, subject, text string) error { m.raise(subject, text); return nil },
		Over:    func(_ context.Context, subject string) error { m.over(subject); return nil },
		Past:    m.History,
	}
	s.player = app.NewPlayer(app.PlayerOptions{
		Store: m, Open: m.take, Memo: o.Memo, Pull: puller{m, job}, Programme: o.Programme, Dir: o.Dir, Key: o.Key, Base: o.Base,
	})
	return s, nil
}

// Now gives the program's time.
func (s *Season) Now() time.Time { return s.memory.now }

// Next gives the next moment at which something falls due by itself; at first
// that is the start.
func (s *Season) Next(ctx context.Context) (time.Time, error) {
	if !s.begun {
		return s.memory.now, nil
	}
	return s.player.Next(ctx, s.memory.now)
}

// StepTo moves the time on to at and works off what is due then, with what
// follows from it. What falls due before at is left out, as it is when the
// program was down: see PlayTo.
func (s *Season) StepTo(ctx context.Context, at time.Time) error {
	if at.After(s.memory.now) {
		s.memory.now = at.UTC()
	}
	s.begun = true
	if err := s.player.StepTo(ctx, s.memory.now); err != nil {
		return fmt.Errorf("playing %s: %w", s.memory.now.Format("2 January 2006 15:04 UTC"), err)
	}
	return nil
}

// PlayTo plays everything that falls due up to at, at included, in its order.
func (s *Season) PlayTo(ctx context.Context, at time.Time) error {
	for {
		next, err := s.Next(ctx)
		if err != nil {
			return err
		}
		if next.After(at) {
			return nil
		}
		if err := s.StepTo(ctx, next); err != nil {
			return err
		}
	}
}

// Report plays up to at, stores what somebody reports or answers at one go,
// all of it about one site, and decides on the site anew. What is there of At
// and ID in the reports is replaced.
func (s *Season) Report(ctx context.Context, at time.Time, reports ...trail.Report) error {
	if len(reports) == 0 {
		return nil
	}
	site := reports[0].Site
	zone, ok := s.zones[site]
	if !ok {
		return fmt.Errorf("a report is about the site %q, which the programme hasn't", site)
	}
	for _, r := range reports {
		if r.Site != site {
			return fmt.Errorf("what is reported at one go must be about one site, not %s and %s", site, r.Site)
		}
	}
	if err := s.PlayTo(ctx, at); err != nil {
		return err
	}
	if at.After(s.memory.now) {
		s.memory.now = at.UTC()
	}
	now := s.memory.now
	key := s.memory.report(civil.At(now.In(zone)).Year(), reports)
	s.memory.begin(s.player.AfterReport(key, site, now))
	return s.player.Drain(ctx)
}

// Calls gives how a site's calls stand in a season. It is only to be read.
func (s *Season) Calls(site string, year int) map[call.Task]season.State {
	return s.memory.calls[siteYear{site, year}]
}

// Reports gives what was reported of a site in a season, in the order in which
// it came. It is only to be read.
func (s *Season) Reports(site string, year int) []trail.Report {
	return s.memory.reports[siteYear{site, year}]
}

// Kept gives what Options.Keep asked for.
func (s *Season) Kept() *Kept { return &s.memory.kept }
