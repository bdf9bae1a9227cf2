package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// Overview settles the piece of a run that writes letters of its own about what
// the memory holds, in one transaction with them.
func (db *DB) Overview(ctx context.Context, piece int64, f func(b *Book, r Run) ([]notice.Parcel, error)) error {
	err := db.settle(ctx, piece, func(tx pgx.Tx, p Piece) (string, error) {
		letters, err := f(&Book{db: db, tx: tx}, p.Run)
		if err != nil {
			return "", err
		}
		for _, l := range letters {
			if err := db.writeLetter(ctx, tx, l); err != nil {
				return "", err
			}
		}
		return fmt.Sprintf("%d letters", len(letters)), nil
	})
	if err != nil {
		return fmt.Errorf("writing the overview: %w", err)
	}
	return nil
}

// Troubles lists what isn't over, oldest first.
func (b *Book) Troubles(ctx context.Context) ([]Trouble, error) {
	rows, err := b.tx.Query(ctx, `select subject, since, text from trouble where over_at is null order by since, subject`)
	if err != nil {
		return nil, fmt.Errorf("listing troubles: %w", err)
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[Trouble])
}

// Change is that the standing of a call became another.
type Change struct {
	Task     call.Task
	At       time.Time
	Standing call.Standing
	Reason   call.Reason
	Days     civil.Range
}

// Changes gives every change of standing of a site's season, oldest first.
func (b *Book) Changes(ctx context.Context, site string, year int) ([]Change, error) {
	rows, err := b.tx.Query(ctx, `
		select task, at, standing, reason, first_day, last_day from standing_change
		where site = $1 and season = $2 order by id`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading how the calls of %s changed: %w", site, err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (c Change, err error) {
		var first, last pgtype.Date
		err = row.Scan(&c.Task, &c.At, &c.Standing, &c.Reason, &first, &last)
		c.At, c.Days = c.At.UTC(), civil.Range{First: day(first), Last: day(last)}
		return c, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading how the calls of %s changed: %w", site, err)
	}
	return list, nil
}
