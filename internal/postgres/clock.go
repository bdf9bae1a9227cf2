package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// Clock gives the simulated time of this database; simulated is false where
// the wall clock holds.
func (db *DB) Clock(ctx context.Context) (at time.Time, simulated bool, err error) {
	err = db.pool.QueryRow(ctx, `select at from simulated_clock`).Scan(&at)
	if errors.Is(err, pgx.ErrNoRows) {
		return time.Time{}, false, nil
	}
	if err != nil {
		return time.Time{}, false, fmt.Errorf("reading the simulated clock: %w", err)
	}
	return at.UTC(), true, nil
}

// SetClock moves the simulated time, never backwards.
func (db *DB) SetClock(ctx context.Context, at time.Time) error {
	if _, err := db.pool.Exec(ctx, `
		insert into simulated_clock as c (at) values ($1)
		on conflict (one) do update set at = greatest(c.at, excluded.at)`, at); err != nil {
		return fmt.Errorf("moving the simulated clock: %w", err)
	}
	return nil
}

// Empty reports whether the database has seen no run yet.
func (db *DB) Empty(ctx context.Context) (bool, error) {
	var any bool
	err := db.pool.QueryRow(ctx, `select exists (select 1 from run)`).Scan(&any)
	if err != nil {
		return false, fmt.Errorf("looking whether the database is new: %w", err)
	}
	return !any, nil
}
