package app

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"maps"
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
	seen    config.Files // as last looked at, good or bad
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
		return nil
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
	f.current.Store(p)
	f.log.WarnContext(ctx, "the configuration has problems; the one accepted before stays in force", "accepted", at)
	return nil
}

// look reads the folder again and accepts what is new and good. It returns
// what is wrong with it, having told the ops person.
func (f *inForce) look(ctx context.Context) error {
	files, err := ReadDir(f.dir)
	if err == nil && maps.EqualFunc(files, f.seen, bytes.Equal) {
		return nil
	}
	now, clockErr := f.now(ctx)
	if clockErr != nil {
		return clockErr
	}
	if err == nil {
		f.seen = files
		err = f.take(ctx, files, now)
	}
	if err != nil {
		f.log.ErrorContext(ctx, "the configuration is not accepted", "error", err)
		return errorsJoinRaise(err, f.db.Raise(ctx, configTrouble, "The configuration is not accepted; the one before stays in force. "+err.Error(), now))
	}
	return f.db.Over(ctx, configTrouble, now)
}

func errorsJoinRaise(err, raise error) error {
	if raise != nil {
		return fmt.Errorf("%w (and the ops person could not be told: %v)", err, raise)
	}
	return err
}

func (f *inForce) take(ctx context.Context, files config.Files, now time.Time) error {
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		return fmt.Errorf("%d problems:\n%s", len(problems), Problems(f.dir, problems))
	}
	if f.fit != nil {
		if err := f.fit(p); err != nil {
			return err
		}
	}
	if err := f.db.Accept(ctx, files, "folder", now); err != nil {
		return err
	}
	for _, w := range p.Warnings {
		f.log.WarnContext(ctx, "configuration", "note", w.String())
	}
	f.current.Store(p)
	if f.changed != nil {
		f.changed()
	}
	return nil
}
