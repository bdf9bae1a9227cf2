package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"budcall/internal/config"
	"budcall/internal/postgres"
)

// inForce is the configuration in force: the last one that was accepted. A bad
// file never stops the program; its problems are told, and what was accepted
// before stays, also across a restart.
type inForce struct {
	dir     string
	db      *postgres.DB
	log     *slog.Logger
	changed func()                        // called after another configuration came into force
	fit     func(*config.Programme) error // refuses what can't be in force here; may be nil
	now     func(context.Context) (time.Time, error)

	current atomic.Pointer[config.Programme]
	seen    config.Files // as last judged, good or bad; nil: to be judged at the next look
	told    string       // the last refusal that was logged
}

// programme gives the configuration in force.
func (f *inForce) programme() *config.Programme { return f.current.Load() }

// configTrouble is the subject under which the ops person is told of a bad file.
const configTrouble = "configuration"

// start brings a configuration into force: the folder's, or, where that is
// bad, the one accepted last.
func (f *inForce) start(ctx context.Context) error {
	bad := f.look(ctx)
	if f.current.Load() != nil {
		return bad
	}
	if bad == nil {
		bad = fmt.Errorf("nothing was read from %s", f.dir)
	}
	files, at, found, err := f.db.Accepted(ctx)
	if err != nil {
		return err
	}
	if !found {
		return bad
	}
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		return fmt.Errorf("%w\nand the configuration accepted before is no longer understood:\n%s", bad, Problems(f.dir, problems))
	}
	if f.fit != nil {
		if err := f.fit(p); err != nil {
			return fmt.Errorf("%w\nand the configuration accepted before can't be used: %w", bad, err)
		}
	}
	f.current.Store(p)
	f.log.WarnContext(ctx, "the configuration has problems; the one accepted before stays in force", "accepted", at)
	return nil
}

// look reads the folder again and accepts what is new and good. It returns
// what is wrong with it, having told the ops person, or what went wrong with
// the database: then the folder is judged again at the next look.
func (f *inForce) look(ctx context.Context) error {
	files, bad := ReadDir(f.dir)
	if bad == nil && f.seen != nil && maps.EqualFunc(files, f.seen, bytes.Equal) {
		return nil
	}
	f.seen = nil
	now, err := f.now(ctx)
	if err != nil {
		return err
	}
	var p *config.Programme
	if bad == nil {
		p, bad = f.judge(files)
	}
	if bad != nil {
		err = f.refuse(ctx, bad, now)
	} else {
		err = f.accept(ctx, p, files, now)
	}
	if err != nil {
		return errors.Join(bad, err)
	}
	f.seen = files
	return bad
}

// judge gives the programme that files describe, or why it can't be in force.
func (f *inForce) judge(files config.Files) (*config.Programme, error) {
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		return nil, fmt.Errorf("%s:\n%s", counted(len(problems), "problem"), Problems(f.dir, problems))
	}
	if f.fit != nil {
		if err := f.fit(p); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// refuse tells the ops person why the folder's configuration isn't in force;
// a folder that goes on being bad in the same way is logged once.
func (f *inForce) refuse(ctx context.Context, bad error, now time.Time) error {
	if bad.Error() != f.told {
		f.log.ErrorContext(ctx, "the configuration is not accepted", "error", bad)
		f.told = bad.Error()
	}
	if f.current.Load() == nil {
		if _, _, found, err := f.db.Accepted(ctx); err != nil || !found {
			return err // nobody to tell but whoever starts the program
		}
	}
	if err := f.db.Raise(ctx, configTrouble, "The configuration is not accepted; the one before stays in force. "+bad.Error(), now); err != nil {
		return fmt.Errorf("telling the ops person that the configuration is not accepted: %w", err)
	}
	return nil
}

// accept brings a configuration into force.
func (f *inForce) accept(ctx context.Context, p *config.Programme, files config.Files, now time.Time) error {
	if err := f.db.Accept(ctx, files, "folder", now); err != nil {
		return err
	}
	for _, w := range p.Warnings {
		f.log.WarnContext(ctx, "configuration", "note", w.String())
	}
	f.told = ""
	f.current.Store(p)
	if f.changed != nil {
		f.changed()
	}
	if err := f.db.Over(ctx, configTrouble, now); err != nil {
		return err
	}
	return f.forgetGone(ctx, p, now)
}

// forgetGone ends the troubles of sites, stations and forecasts that the
// configuration no longer has: nothing else ever would.
func (f *inForce) forgetGone(ctx context.Context, p *config.Programme, now time.Time) error {
	troubles, err := f.db.Troubles(ctx)
	if err != nil {
		return err
	}
	asked := sources(p)
	for _, s := range p.Sites {
		asked = append(asked, siteTrouble(s.Code), pastTrouble(s.Code))
	}
	for _, t := range troubles {
		class, _, of := strings.Cut(t.Subject, ":")
		if !of || !slices.Contains([]string{"site", "past", "station", "outlook"}, class) || slices.Contains(asked, t.Subject) {
			continue
		}
		if err := f.db.Over(ctx, t.Subject, now); err != nil {
			return err
		}
	}
	return nil
}

// siteTrouble is the subject of a trouble with a site.
func siteTrouble(code string) string { return "site:" + code }

// pastTrouble is the subject of a trouble with what a site's past seasons say.
func pastTrouble(code string) string { return "past:" + code }
