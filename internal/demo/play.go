package demo

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
)

// clockHand is the played time, for whoever answers by it.
type clockHand struct{ at atomic.Int64 }

func (c *clockHand) set(t time.Time) { c.at.Store(t.UnixNano()) }
func (c *clockHand) get() time.Time  { return time.Unix(0, c.at.Load()).UTC() }

func newCrew(p *config.Programme, s *sky) *crew {
	c := &crew{
		programme: p, browser: browser{&http.Client{Timeout: time.Minute}}, truths: map[string]truth{},
		odd: oddOnes(p.Sites), rng: s.chance("people"), plans: map[task]plan{}, looked: map[string]bool{}, torn: map[string]string{}, frosts: map[string]frost{},
	}
	for _, site := range p.Sites {
		c.truths[site.Code] = s.hidden(site, p.Profiles[site.Profile])
		c.frosts[site.Code] = s.lateFrost(site, c.truths[site.Code])
	}
	return c
}

// play plays the season and keeps what came of it, also where it breaks off.
func (s *show) play(ctx context.Context) (Result, error) {
	if err := s.season(ctx); err != nil {
		return Result{}, errors.Join(err, s.keepLetters(), fmt.Errorf("the mails until then are in %s", s.Out))
	}
	return s.finish(ctx)
}

// season goes from one thing that falls due to the next, be it the program's or
// somebody's, until the season is over.
func (s *show) season(ctx context.Context) error {
	if s.Played != nil {
		defer s.Played()
	}
	end := (s.last + 1).In(time.UTC, 0, 0)
	for {
		due, err := s.app.Next(ctx)
		if err != nil {
			return err
		}
		acts, somebody := s.crew.next()
		if acts = later(acts, s.now.get()); somebody && !acts.After(due) {
			due = acts
		} else {
			somebody = false
		}
		if !due.Before(end) {
			break
		}
		if err := s.step(ctx, due); err != nil {
			return fmt.Errorf("playing %s: %w", due.Format("2 January 15:04 UTC"), err)
		}
		if somebody {
			if err := s.crew.act(ctx); err != nil {
				return fmt.Errorf("playing people on %s: %w", due.Format("2 January 15:04 UTC"), err)
			}
			if err := s.step(ctx, due); err != nil {
				return fmt.Errorf("playing %s: %w", due.Format("2 January 15:04 UTC"), err)
			}
		}
		if s.Progress != nil {
			s.Progress(civil.At(due), firstDay, s.last, s.box.count())
		}
	}
	return nil
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// step lets the program work off what is due at a time, and people find their
// mails.
func (s *show) step(ctx context.Context, at time.Time) error {
	if err := s.writeWeather(civil.At(at)); err != nil {
		return err
	}
	s.now.set(at)
	if err := s.app.StepTo(ctx, at); err != nil {
		return err
	}
	fresh := inOrder(s.box.fresh())
	if len(fresh) == 0 {
		return nil // nothing was told
	}
	for _, l := range fresh {
		s.crew.receive(l)
	}
	return s.watch.look(ctx, s.app, at)
}

// writeWeather writes what the stations have read before a day: the first time
// all years, then, as loggers do, a file that grows through the year.
func (s *show) writeWeather(today civil.Date) error {
	if today == s.written {
		return nil
	}
	days := civil.Range{First: civil.Of(seasonYear, 1, 1), Last: today - 1}
	if s.written == 0 {
		days.First = s.sky.first
	}
	for _, st := range s.stations {
		path := filepath.Join(s.weatherDir(), st.code+".csv")
		if err := os.WriteFile(path, st.file(days, s.wrong), 0o644); err != nil {
			return fmt.Errorf("writing invented weather: %w", err)
		}
	}
	s.written = today
	return nil
}

// finish judges the season, keeps what came of it, and says so.
func (s *show) finish(ctx context.Context) (Result, error) {
	o, err := s.gather(ctx)
	if err != nil {
		return Result{}, err
	}
	r := s.result(o)
	if err := s.keep(ctx, r); err != nil {
		return r, err
	}
	fmt.Fprintf(s.Stdout, "%s\nmails, pictures and the season's report: %s\n", r.Table, s.Out)
	if missed := o.missed(); len(missed) > 0 {
		return r, fmt.Errorf("the season isn't as it must be:\n  %s", strings.Join(missed, "\n  "))
	}
	if s.Stay {
		fmt.Fprintf(s.Stdout, "season board: %s (open until Ctrl-C)\n", s.app.Address())
	}
	fmt.Fprintln(s.Stdout, r)
	if s.Stay {
		<-ctx.Done()
	}
	return r, nil
}

// gather puts together what is to be judged.
func (s *show) gather(ctx context.Context) (outcome, error) {
	letters := inOrder(s.box.all)
	if err := s.watch.gather(ctx, s.app, letters); err != nil {
		return outcome{}, err
	}
	counts, err := s.app.DB().Count(ctx)
	return outcome{
		sites: s.watch.sites, truths: s.crew.truths, odd: s.crew.odd, mails: len(letters), sent: counts.Mails, reports: counts.Reports,
		events: len(s.events.Events()), messages: counts.Messages, troubles: s.outlook.refused, answers: s.outlook.answers,
	}, err
}

func (s *show) result(o outcome) Result {
	r := Result{Sites: len(o.sites), Mails: o.mails, Reports: o.reports, Out: s.Out, Table: table(o.sites)}
	for _, site := range o.sites {
		r.Calls += site.asked()
	}
	return r
}

func (s *show) keepLetters() error {
	dir := filepath.Join(s.Out, "mails")
	if err := os.Mkdir(dir, 0o755); err != nil {
		return fmt.Errorf("keeping the mails: %w", err)
	}
	return keepLetters(dir, s.programme, inOrder(s.box.all))
}

// keep writes the result's folder.
func (s *show) keep(ctx context.Context, r Result) error {
	if err := s.keepLetters(); err != nil {
		return err
	}
	if err := keepEvents(filepath.Join(s.Out, "webhooks.jsonl"), s.events.Events()); err != nil {
		return err
	}
	for _, site := range s.watch.sites {
		svg, err := picture(ctx, s.app, site)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(s.Out, strings.ToLower(site.site.Code)+".svg"), svg, 0o644); err != nil {
			return fmt.Errorf("keeping the picture of %s: %w", site.site.Code, err)
		}
	}
	if err := keepReport(ctx, filepath.Join(s.Out, reportDir), s.beside()); err != nil {
		return err
	}
	text := fmt.Sprintf("%s, season %d\n\n%s\n%s\n", s.programme.Name, seasonYear, r.Table, r)
	if err := os.WriteFile(filepath.Join(s.Out, "season.txt"), []byte(text), 0o644); err != nil {
		return fmt.Errorf("keeping the season's table: %w", err)
	}
	return nil
}
