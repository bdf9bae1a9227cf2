package app

import (
	"context"

	"budcall/internal/localpg"
	"budcall/internal/postgres"
)

// openDatabase connects to the database, or starts the private one.
func (a *App) openDatabase(ctx context.Context) error {
	dsn, err := a.dsn()
	if err != nil {
		return err
	}
	if dsn == "" {
		if dsn, err = a.private(ctx); err != nil {
			return err
		}
	}
	if err := postgres.Migrate(ctx, dsn); err != nil {
		return postgres.Explain(err)
	}
	if a.db, err = postgres.Open(ctx, postgres.Options{DSN: dsn, Logger: a.log}); err != nil {
		return err
	}
	a.onClose(func(context.Context) error { a.db.Close(); return nil })
	a.journal = journalIn(a.opt.State, a.log)
	a.db.Note = a.journal.note
	return a.db.Live(ctx)
}

// private starts a PostgreSQL of the programme's own, or makes it a database in
// the one of the installation, and gives the address.
func (a *App) private(ctx context.Context) (dsn string, err error) {
	if s := a.opt.shared; s != nil {
		if a.local, err = s.postgres(ctx); err != nil {
			return "", err
		}
		return a.local.Database(ctx, a.opt.home.database)
	}
	if a.local, err = localpg.Start(ctx, localpg.Options{Dir: a.opt.pgDir(), Logger: a.log}); err != nil {
		return "", err
	}
	a.onClose(a.local.Stop)
	return a.local.DSN(), nil
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
