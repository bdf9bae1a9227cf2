package app

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"budcall/internal/config"
	"budcall/internal/localpg"
	"budcall/internal/postgres"
)

// Beside is the memory of a program that may be running beside us, opened for
// one question or one report. It works nothing off.
type Beside struct {
	// Alone tells that a private PostgreSQL had to be started, so that no
	// program is running on this memory.
	Alone bool

	db        *postgres.DB
	clock     *clock
	programme *config.Programme
	journal   *journal // nil: there is no state folder
	close     func(context.Context) error
}

// Attach opens the memory that Options.DSN or Options.State names. The
// configuration is the one in force there.
func Attach(ctx context.Context, o Options) (*Beside, error) {
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
	}
	b := &Beside{close: func(context.Context) error { return nil }}
	if err := b.open(ctx, o); err != nil {
		return nil, errors.Join(err, b.Close(context.WithoutCancel(ctx)))
	}
	return b, nil
}

// Close gives everything back.
func (b *Beside) Close(ctx context.Context) error {
	var err error
	if b.db != nil {
		if b.journal != nil && b.journal.failed.Load() != nil && b.clock != nil {
			at, now := b.clock.now(ctx)
			if err = now; err == nil {
				err = b.journal.tellTrouble(ctx, b.db, at)
			}
		}
		b.db.Close()
	}
	return errors.Join(err, b.close(ctx))
}

// Programme gives the configuration in force.
func (b *Beside) Programme() *config.Programme { return b.programme }

// Now gives the program's time.
func (b *Beside) Now(ctx context.Context) (time.Time, error) { return b.clock.now(ctx) }

func (b *Beside) open(ctx context.Context, o Options) (err error) {
	dsn := o.DSN
	if dsn == "" {
		if dsn, err = b.private(ctx, o); err != nil {
			return err
		}
	}
	if b.db, err = postgres.Open(ctx, postgres.Options{DSN: dsn, MaxConns: 2, Logger: o.Logger}); err != nil {
		return err
	}
	if o.State != "" {
		b.journal = journalIn(o.State, o.Logger)
		b.db.Note = b.journal.note
	}
	_, simulated, err := b.db.Clock(ctx)
	if err != nil {
		return unused(err)
	}
	b.clock = &clock{db: b.db, simulated: simulated}
	files, _, found, err := b.db.Accepted(ctx)
	switch {
	case err != nil:
		return unused(err)
	case !found:
		return errNeverRun
	}
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		return fmt.Errorf("the configuration in force isn't understood by this version: use the one that runs\n%s", Problems("", problems))
	}
	b.programme = p
	return nil
}

var errNeverRun = errors.New("no configuration was ever accepted in this database: start `budcall run DIR` on it first")

// unused tells a database in which budcall has made no tables yet.
func unused(err error) error {
	if postgres.Unmade(err) {
		return errNeverRun
	}
	return postgres.Explain(err)
}

// programStarts is how long a program that has the memory may take until its
// PostgreSQL answers.
const programStarts = 15 * time.Second

// private gives the address of the private PostgreSQL: where no program runs,
// one is started for as long as we need it; else it is the running one's.
func (b *Beside) private(ctx context.Context, o Options) (string, error) {
	dir := o.pgDir()
	if _, err := os.Stat(filepath.Join(dir, "data", "PG_VERSION")); err != nil {
		if errors.Is(err, fs.ErrPermission) {
			return "", fmt.Errorf("looking for the database: %w (run this as root, or as the user that runs budcall)", err)
		}
		return "", fmt.Errorf("no budcall has kept its memory in %s: name its folder with --state DIR, or with --database-file FILE the file that holds the database's address", o.State)
	}
	running, server, err := runningOrOwn(ctx, dir, o)
	if err != nil || server == nil {
		return running, err
	}
	b.Alone, b.close = true, server.Stop
	dsn := server.DSN()
	if o.home.database != "" {
		if dsn, err = server.Database(ctx, o.home.database); err != nil {
			return "", err
		}
	}
	if err := postgres.Migrate(ctx, dsn); err != nil {
		return "", postgres.Explain(err)
	}
	return dsn, nil
}

// runningOrOwn gives the address of the running program's PostgreSQL, or one of
// our own. A program that has begun and doesn't answer yet is waited for.
func runningOrOwn(ctx context.Context, dir string, o Options) (running string, own *localpg.Server, err error) {
	for begun := time.Now(); ; wait(ctx, 50*time.Millisecond) {
		if dsn, err := runningAt(dir, o.home.database); err == nil {
			if db, err := postgres.Open(ctx, postgres.Options{DSN: dsn, MaxConns: 1}); err == nil {
				db.Close()
				return dsn, nil, nil
			}
		}
		own, err = localpg.Start(ctx, localpg.Options{Dir: dir, Logger: o.Logger, Brief: true})
		if !errors.Is(err, localpg.ErrInUse) || time.Since(begun) >= programStarts || ctx.Err() != nil {
			return "", own, err
		}
	}
}

// runningAt gives the address of a database, empty for the only one, of the
// PostgreSQL that serves dir/data. Its port and the folder of its socket stand
// in the fourth and fifth line of postmaster.pid, which only its owner and root
// can read.
func runningAt(dir, database string) (string, error) {
	f, err := os.Open(filepath.Join(dir, "data", "postmaster.pid"))
	if err != nil {
		return "", err
	}
	defer f.Close()
	var lines []string
	for s := bufio.NewScanner(f); s.Scan() && len(lines) < 5; {
		lines = append(lines, s.Text())
	}
	if len(lines) < 5 || lines[4] == "" {
		return "", errors.New("it is still starting")
	}
	return localpg.Address(lines[4], lines[3], cmp.Or(database, "budcall")), nil
}
