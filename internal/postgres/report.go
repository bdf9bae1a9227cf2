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
	err = db.tx(ctx, func(tx pgx.Tx) error {
		stored = false
		for i, r := range reports {
			tag, err := tx.Exec(ctx, `
				insert into report (key, seq, site, season, person, task, kind, tree, bbch, selfing, control, day, promised, at, way)
				values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
				on conflict on constraint report_once do nothing`,
				key, i, r.Site, season, r.Person, r.Task, string(r.Kind), r.Tree, r.BBCH, r.Selfing, r.Control, date(r.Day), date(r.On), r.At, r.Way)
			if err != nil {
				return err
			}
			if tag.RowsAffected() == 0 {
				return nil
			}
		}
		stored = len(reports) > 0
		_, err := begin(ctx, db, tx, then)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("storing a report: %w", Explain(err))
	}
	return stored, nil
}
