package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"budcall/internal/archive"
	"budcall/internal/civil"
	"budcall/internal/localpg"
	"budcall/internal/postgres"
)

// linkKeyName is the key that signs links: in the state folder, and in backups,
// so that the links in mails already sent work after a restore.
const linkKeyName = "link.key"

// BackupRequest says where a backup is written.
type BackupRequest struct {
	State, Version string
	Out            string // file; empty: budcall-<day and time>.backup in the working folder
	Shown          func(done, total int64)
}

// BackedUp is a backup that was made.
type BackedUp struct {
	File   string    `json:"file"`
	MadeAt time.Time `json:"made_at"`
	Rows   int64     `json:"rows"`
	Bytes  int64     `json:"bytes"`
	Keyed  bool      `json:"link_key"` // the key of links is in it
}

// Backup writes the whole memory into one file, which is there whole or not at
// all and only its owner may read.
func (b *Beside) Backup(ctx context.Context, r BackupRequest) (out BackedUp, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return out, err
	}
	out.MadeAt, out.File = time.Now().UTC().Truncate(time.Second), r.Out
	if out.File == "" {
		out.File = "budcall-" + out.MadeAt.Format("20060102T150405Z") + ".backup"
	}
	if info, err := os.Stat(out.File); err == nil && !info.Mode().IsRegular() {
		return out, fmt.Errorf("%s is no file: name a file that may be written", out.File)
	}
	o := postgres.BackupOptions{Program: r.Version, MadeAt: out.MadeAt, Now: now, Shown: r.Shown, Secrets: map[string][]byte{}}
	key, err := os.ReadFile(filepath.Join(r.State, linkKeyName))
	switch {
	case err == nil:
		o.Secrets[linkKeyName], out.Keyed = key, true
	case !errors.Is(err, fs.ErrNotExist):
		return out, fmt.Errorf("reading the key that signs links: %w (run this as root, or as the user that runs budcall)", err)
	}
	f, err := os.CreateTemp(filepath.Dir(out.File), "."+filepath.Base(out.File)+"-*") // 0600 from the start
	if err != nil {
		return out, fmt.Errorf("writing the backup: %w (name a file in a folder that may be written with --out)", err)
	}
	defer os.Remove(f.Name())
	m, err := b.db.Backup(ctx, f, o)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return out, err
	}
	info, err := os.Stat(f.Name())
	if err == nil {
		err = os.Rename(f.Name(), out.File)
	}
	if err != nil {
		return out, fmt.Errorf("putting the backup in its place: %w (name another file with --out)", err)
	}
	out.Rows, out.Bytes = m.Rows(), info.Size()
	return out, nil
}

// RestoreRequest says what is brought back, and where.
type RestoreRequest struct {
	Options
	File    string
	Replace bool // what the database holds may go
	Shown   func(table string, done, n int64)
}

// RestoredFrom is what was brought back.
type RestoredFrom struct {
	Program   string             `json:"program"` // that made the backup
	MadeAt    time.Time          `json:"made_at"`
	Rows      int64              `json:"rows"`
	Keyed     bool               `json:"link_key"`
	Recovered postgres.Recovered `json:"recovered"`  // from the journal
	Unread    []string           `json:"unreadable"` // lines of the journal
	Forgotten int                `json:"forgotten"`  // people who were in the backup and had been forgotten since
}

// Restore brings a backup back: all of it, or nothing. Then sending is held
// until somebody has looked at what is owed.
func Restore(ctx context.Context, r RestoreRequest) (out RestoredFrom, err error) {
	f, err := os.Open(r.File)
	if err != nil {
		return out, fmt.Errorf("opening the backup: %w", err)
	}
	defer f.Close()
	a, err := archive.Open(f)
	if err != nil {
		return out, fmt.Errorf("%s: %w", r.File, err)
	}
	if _, err := postgres.Readable(a.Head); err != nil {
		return out, fmt.Errorf("%s: %w", r.File, err)
	}
	out.Program, out.MadeAt, out.Rows = a.Program, a.MadeAt, a.Rows()
	if err := makeStateDir(r.State); err != nil {
		return out, err
	}
	if r.home.database != "" && !isHome(r.State) {
		if err := noteFolder(r.State, ""); err != nil { // its configuration folder becomes known when it runs
			return out, err
		}
	}
	if r.DSN == "" {
		server, err := localpg.Start(ctx, localpg.Options{Dir: r.pgDir(), Logger: r.Logger})
		if err != nil {
			return out, err
		}
		defer func() { err = errors.Join(err, server.Stop(context.WithoutCancel(ctx))) }()
		r.DSN = server.DSN()
		if r.home.database != "" {
			if r.DSN, err = server.Database(ctx, r.home.database); err != nil {
				return out, err
			}
		}
	}
	place := func(context.Context) error { out.Keyed, err = placeKey(a, r.State); return err }
	if err := postgres.Restore(ctx, a, postgres.RestoreOptions{
		DSN: r.DSN, Replace: r.Replace, Now: time.Now().UTC(), Before: place, Shown: r.Shown,
	}); err != nil {
		return out, err
	}
	if err := postgres.Migrate(ctx, r.DSN); err != nil {
		return out, postgres.Explain(err)
	}
	return out, r.recover(ctx, &out)
}

// placeKey puts the backup's key of links into the state folder.
func placeKey(a *archive.Archive, state string) (bool, error) {
	key, found, err := a.Secret(linkKeyName)
	if err != nil || !found {
		return false, err
	}
	if err := writeWhole(filepath.Join(state, linkKeyName), key, 0o600); err != nil {
		return false, err
	}
	f, err := os.Open(filepath.Join(state, linkKeyName))
	if err != nil {
		return false, err
	}
	defer f.Close()
	return true, likeFolder(f)
}

// recover takes from the journal what came after the backup. A restored database
// that hasn't seen it is brought up to it at the program's start too.
func (r RestoreRequest) recover(ctx context.Context, out *RestoredFrom) (err error) {
	b, err := Attach(ctx, Options{State: r.State, DSN: r.DSN, Logger: r.Logger})
	if errors.Is(err, errNeverRun) {
		return nil // nothing was ever accepted, so nobody can have reported
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.Close(context.WithoutCancel(ctx))) }()
	if out.Recovered, out.Unread, err = recoverFrom(ctx, b.db, r.State, b.clock, b.engine()); err != nil {
		return err
	}
	out.Forgotten, err = b.forgetAgain(ctx, r.State)
	return err
}

// recoverFrom takes from the journal of a state folder what a restored database
// doesn't know.
func recoverFrom(ctx context.Context, db *postgres.DB, state string, c *clock, e *engine) (found postgres.Recovered, bad []string, err error) {
	h, held, err := db.Held(ctx)
	if err != nil || !held || h.Why != postgres.Restored {
		return found, nil, err
	}
	list, bad, err := readJournal(state, h.BackupAt.Add(-journalMargin))
	if err != nil || len(list) == 0 {
		return found, bad, err
	}
	newest := h.BackupAt
	for _, n := range list {
		if n.At.After(newest) {
			newest = n.At
		}
	}
	if c.simulated { // simulated time goes on where it was
		if err := db.SetClock(ctx, newest); err != nil {
			return found, bad, err
		}
	}
	now, err := c.now(ctx)
	if err != nil {
		return found, bad, err
	}
	var sites []string
	for _, s := range e.programme().Sites {
		sites = append(sites, s.Code)
	}
	found, err = db.Recover(ctx, list, e.occasion(runReport, "recovered "+civil.At(now).String()+" "+now.Format("150405"), now, sites))
	return found, bad, err
}

// journalMargin is by how much a note may be older than the transaction that it
// belongs to.
const journalMargin = time.Hour
