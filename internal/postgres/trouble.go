package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Trouble is something that the ops person must look after.
type Trouble struct {
	Subject string
	Since   time.Time
	Text    string
}

// execer is a pool or a transaction.
type execer interface {
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
}

// Raise notes a trouble, once per subject until it is over.
func (db *DB) Raise(ctx context.Context, subject, text string, at time.Time) error {
	return raise(ctx, db.pool, subject, text, at)
}

// Raise notes a trouble in this transaction.
func (b *Book) Raise(ctx context.Context, subject, text string, at time.Time) error {
	return raise(ctx, b.tx, subject, text, at)
}

func raise(ctx context.Context, x execer, subject, text string, at time.Time) error {
	if _, err := x.Exec(ctx, `
		insert into trouble as t (subject, since, text) values ($1, $3, $2)
		on conflict (subject) do update set text = excluded.text, over_at = null,
			since = case when t.over_at is null then t.since else excluded.since end,
			told_at = case when t.over_at is null then t.told_at end`, subject, text, at); err != nil {
		return fmt.Errorf("noting a trouble: %w", err)
	}
	return nil
}

// Over notes that a trouble is over.
func (db *DB) Over(ctx context.Context, subject string, at time.Time) error {
	return over(ctx, db.pool, subject, at)
}

// Over notes in this transaction that a trouble is over.
func (b *Book) Over(ctx context.Context, subject string, at time.Time) error {
	return over(ctx, b.tx, subject, at)
}

func over(ctx context.Context, x execer, subject string, at time.Time) error {
	if _, err := x.Exec(ctx, `update trouble set over_at = $2 where subject = $1 and over_at is null`, subject, at); err != nil {
		return fmt.Errorf("noting that a trouble is over: %w", err)
	}
	return nil
}

// Troubles lists what isn't over, oldest first.
func (db *DB) Troubles(ctx context.Context) ([]Trouble, error) {
	rows, err := db.pool.Query(ctx, `select subject, since, text from trouble where over_at is null order by since, subject`)
	if err != nil {
		return nil, fmt.Errorf("listing troubles: %w", err)
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[Trouble])
}

// untold gives the troubles that the ops person hasn't been told, sorted, and
// marks them as told in the same transaction.
func untold(ctx context.Context, tx pgx.Tx, at time.Time) ([]string, error) {
	rows, err := tx.Query(ctx, `update trouble set told_at = $1 where told_at is null and over_at is null returning text`, at)
	if err != nil {
		return nil, err
	}
	texts, err := collectStrings(rows)
	slices.Sort(texts)
	return texts, err
}
