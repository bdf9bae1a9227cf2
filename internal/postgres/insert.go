package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
)

// insertWork adds the jobs for pieces of runs, in the transaction that makes
// them due.
func (db *DB) insertWork(ctx context.Context, tx pgx.Tx, ids []int64) error {
	jobs := make([]river.InsertManyParams, 0, len(ids))
	for _, id := range ids {
		jobs = append(jobs, river.InsertManyParams{Args: workArgs{ID: id}})
	}
	return db.insert(ctx, tx, jobs)
}

// insertLetters adds the jobs that deliver letters.
func (db *DB) insertLetters(ctx context.Context, tx pgx.Tx, ids []string) error {
	jobs := make([]river.InsertManyParams, 0, len(ids))
	for _, id := range ids {
		jobs = append(jobs, river.InsertManyParams{Args: deliverArgs{ID: id}})
	}
	return db.insert(ctx, tx, jobs)
}

func (db *DB) insert(ctx context.Context, tx pgx.Tx, jobs []river.InsertManyParams) error {
	if len(jobs) == 0 {
		return nil
	}
	_, err := db.jobs.InsertManyFastTx(ctx, tx, jobs)
	return err
}
