package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// jobTable is where the queue keeps its jobs.
const jobTable = queueSchema + ".river_job"

// qualified gives a table, that of another schema too, as SQL wants it.
func qualified(table string) string { return pgx.Identifier(strings.Split(table, ".")).Sanitize() }

// photos drops those that came from the person: nobody can tell whom they show.
func (f *forgetting) photos(ctx context.Context) error {
	tag, err := f.tx.Exec(ctx, `delete from photo where person = $1`, f.code)
	if err != nil {
		return fmt.Errorf("dropping photos: %w", err)
	}
	if f.Photos = int(tag.RowsAffected()); f.Photos > 0 {
		f.Rows["photo"] += f.Photos
	}
	return nil
}

// jobs replaces the person in the job queue, where a message to a webhook is
// named by an ID with the code in it, and errors may quote it. A job that is
// still to be done must find its letter under the new ID.
func (f *forgetting) jobs(ctx context.Context) error {
	rows, err := f.tx.Query(ctx, `select id, args::text, coalesce(errors::text, ''), finalized_at is not null from `+jobTable+` where kind = 'deliver' for update`)
	if err != nil {
		return fmt.Errorf("looking through the job queue: %w", err)
	}
	batch := &pgx.Batch{}
	var id int64
	var args, errors string
	var done bool
	if _, err := pgx.ForEachRow(rows, []any{&id, &args, &errors, &done}, func() error {
		now := f.r.Within(args)
		if now == args && f.r.Within(errors) == errors && !f.r.Mentions(errors) {
			return nil
		}
		f.Rows[jobTable]++
		if done {
			batch.Queue(`delete from `+jobTable+` where id = $1`, id)
			return nil
		}
		batch.Queue(`update `+jobTable+` set args = $2::text::jsonb, errors = null where id = $1`, id, now)
		return nil
	}); err != nil {
		return fmt.Errorf("looking through the job queue: %w", err)
	}
	if batch.Len() == 0 {
		return nil
	}
	return f.tx.SendBatch(ctx, batch).Close()
}

// DropRawCopies forgets what providers sent before a moment, but for the newest
// copy of each source: what it said holds still.
func (db *DB) DropRawCopies(ctx context.Context, before time.Time) error {
	if _, err := db.pool.Exec(ctx, `
		delete from raw_copy r where fetched_at < $1 and id < (select max(id) from raw_copy where source = r.source)`, before); err != nil {
		return fmt.Errorf("dropping old raw copies: %w", Explain(err))
	}
	return nil
}
