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

// driveLock is the class of the advisory lock of whoever moves the simulated
// time: one process does, those beside it only work.
const driveLock = 0x62756465

// Drive reports whether this process moves the simulated time; it does from
// the first time it may until it ends. Live must have been called.
func (db *DB) Drive(ctx context.Context) (bool, error) {
	var mine bool
	err := db.alive.QueryRow(ctx, `
		select exists (select 1 from pg_locks where locktype = 'advisory' and classid::int8 = $1 and objid = 0 and pid = pg_backend_pid())
			or pg_try_advisory_lock($1::int8::int4, 0)`, int64(driveLock)).Scan(&mine)
	if err != nil {
		return false, fmt.Errorf("asking to move the simulated time: %w", err)
	}
	return mine, nil
}
