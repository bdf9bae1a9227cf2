package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"budcall/internal/trail"
)

// Report stores reports and answers, and the run that decides anew on their
// site, in one transaction. The same key again changes nothing.
func (db *DB) Report(ctx context.Context, key string, season int, reports []trail.Report, then Plan) (stored bool, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) (err error) {
		stored, err = db.storeReports(ctx, tx, key, season, reports, then)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("storing a report: %w", Explain(err))
	}
	return stored, nil
}

// storeReports is Report within a transaction.
func (db *DB) storeReports(ctx context.Context, tx pgx.Tx, key string, season int, reports []trail.Report, then Plan) (stored bool, err error) {
	stored, err = insertReports(ctx, tx, key, season, reports)
	if err != nil || !stored && len(reports) > 0 {
		return false, err
	}
	if _, err = begin(ctx, db, tx, then); err != nil {
		return false, err
	}
	if stored {
		db.note(Noted{At: reports[0].At, Key: key, Season: season, Reports: reports})
	}
	return stored, nil
}

// insertReports stores reports; stored is false where there were none or they
// are known.
func insertReports(ctx context.Context, tx pgx.Tx, key string, season int, reports []trail.Report) (stored bool, err error) {
	for i, r := range reports {
		tag, err := tx.Exec(ctx, `
				insert into report (key, seq, site, season, person, task, kind, tree, bbch, selfing, control, day, promised, at, way, count, until, note)
				values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)
				on conflict on constraint report_once do nothing`,
			key, i, r.Site, season, r.Person, r.Task, string(r.Kind), r.Tree, r.BBCH, r.Selfing, r.Control, date(r.Day), date(r.On), r.At, r.Way,
			r.Count, date(r.Until), r.Note)
		if err != nil {
			return false, err
		}
		if tag.RowsAffected() == 0 {
			return false, nil
		}
	}
	return len(reports) > 0, nil
}
