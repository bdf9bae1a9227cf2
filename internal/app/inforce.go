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
	"sync"
	"sync/atomic"
	"time"

	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// inForce is the configuration in force: the last one that was accepted. A bad
// file never stops the program; its problems are told, and what was accepted
// before stays, also across a restart. Where only files of sites are bad, only
// they are held back.
type inForce struct {
	dir     string
	db      *postgres.DB
	log     *slog.Logger
	changed func()                        // called after another configuration came into force
	fit     func(*config.Programme) error // refuses what can't be in force here; may be nil
	now     func(context.Context) (time.Time, error)

	mayWrite func(dir, file string) error // refuses where a file of the folder can't be replaced

	// overtaken writes the letter that tells of a change that came too late; known
	// is false where there is nobody to tell. May be nil.
	overtaken func(ctx context.Context, ch postgres.SiteChange) (l notice.Parcel, known bool, err error)

	mu       sync.Mutex // one look at a time
	current  atomic.Pointer[config.Programme]
	inForce  atomic.Pointer[config.Files] // of which current was read
	seen     config.Files                 // as last judged, good or bad; nil: to be judged at the next look
	accepted config.Files                 // as accepted last; nil: not looked up yet
	told     string                       // the last refusal that was logged
}

// programme gives the configuration in force.
func (f *inForce) programme() *config.Programme { return f.current.Load() }

// filesInForce gives the files of the configuration in force; they mustn't be
// changed.
func (f *inForce) filesInForce() config.Files {
	if files := f.inForce.Load(); files != nil {
		return *files
	}
	return nil
}

// putInForce makes files the ones in force.
func (f *inForce) putInForce(p *config.Programme, files config.Files) {
	f.accepted = files
	f.inForce.Store(&files)
	f.current.Store(p)
}

// configTrouble is the subject under which the ops person is told of a bad file.
const configTrouble = "configuration"

// start brings a configuration into force: the folder's, or, where that is
// bad, the one accepted last.
func (f *inForce) start(ctx context.Context) error {
	bad := f.look(ctx)
	if f.current.Load() != nil {
		if held := (*heldBack)(nil); errors.As(bad, &held) {
			return nil // told, and the others count
		}
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
		return fmt.Errorf("%w\nand the configuration accepted before is no longer understood: %w", bad, newUnfit(f.dir, problems))
	}
	if f.fit != nil {
		if err := f.fit(p); err != nil {
			return fmt.Errorf("%w\nand the configuration accepted before can't be used: %w", bad, err)
		}
	}
	f.putInForce(p, files)
	f.log.WarnContext(ctx, "the configuration has problems; the one accepted before stays in force", "accepted", at)
	return nil
}

// look reads the folder again and accepts what is new and good. It returns
// what is wrong with it, having told the ops person, or what went wrong with
// the database: then the folder is judged again at the next look.
func (f *inForce) look(ctx context.Context) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.writeAccepted(ctx); err != nil {
		return err
	}
	dir, bad := readFolder(f.dir)
	if bad == nil && len(dir.unread) == 0 && f.seen != nil && maps.EqualFunc(dir.files, f.seen, bytes.Equal) {
		return nil
	}
	f.seen = nil
	now, err := f.now(ctx)
	if err != nil {
		return err
	}
	var kept config.Kept
	if bad == nil {
		if err := f.lookUp(ctx); err != nil {
			return err
		}
		kept, bad = f.judge(dir)
	}
	if bad != nil {
		err = f.refuse(ctx, bad, now)
	} else {
		err = f.accept(ctx, kept, now)
	}
	if err != nil {
		return errors.Join(bad, err)
	}
	if len(dir.unread) == 0 {
		f.seen = dir.files
	}
	if len(kept.Out) > 0 {
		return &heldBack{dir: f.dir, out: kept.Out}
	}
	return bad
}

// lookUp looks up the files that were accepted last, where they aren't known.
func (f *inForce) lookUp(ctx context.Context) error {
	if f.accepted != nil {
		return nil
	}
	files, _, _, err := f.db.Accepted(ctx)
	f.accepted = files
	return err
}

// judge gives what of a folder counts, or why it can't be in force.
func (f *inForce) judge(dir folder) (config.Kept, error) {
	kept, problems := dir.keep(f.accepted)
	if len(f.accepted) == 0 && len(kept.Out) > 0 { // at the first start nothing is known to fall back on
		for _, o := range kept.Out {
			problems = append(problems, o.Problems...)
		}
	}
	if len(problems) > 0 {
		return kept, newUnfit(f.dir, problems)
	}
	if f.fit != nil {
		if err := f.fit(kept.Programme); err != nil {
			return kept, err
		}
	}
	return kept, nil
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
	if f.current.Load() == nil {
		if _, _, found, err := f.db.Accepted(ctx); err != nil || !found {
			return err // nobody to tell but whoever starts the program
		}
	}
	if bad.Error() != f.told {
		logUnfit(ctx, f.log, bad)
		f.told = bad.Error()
	}
	if err := f.db.Raise(ctx, configTrouble, "The configuration is not accepted; the one before stays in force. "+bad.Error(), now); err != nil {
		return fmt.Errorf("telling the ops person that the configuration is not accepted: %w", err)
	}
	return nil
}

// accept brings a configuration into force, and tells of files of sites that
// are held back.
func (f *inForce) accept(ctx context.Context, kept config.Kept, now time.Time) error {
	p := kept.Programme
	if f.current.Load() == nil || !maps.EqualFunc(kept.Files, f.accepted, bytes.Equal) {
		author, err := f.author(ctx, kept.Files)
		if err == nil {
			err = f.db.Accept(ctx, kept.Files, author, now)
		}
		if err != nil {
			return err
		}
		for _, w := range p.Warnings {
			logFinding(ctx, f.log, slog.LevelWarn, f.dir, w)
		}
		f.putInForce(p, kept.Files)
		if f.changed != nil {
			f.changed()
		}
	}
	if len(kept.Out) == 0 {
		f.told = ""
	}
	if err := f.db.Over(ctx, configTrouble, now); err != nil {
		return err
	}
	if err := f.tellHeldBack(ctx, kept.Out, now); err != nil {
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
