package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// runBackFill is the name under which a part of a station's past that was
// fetched stands among the runs: one that was done when it began.
const runBackFill = "back-fill"

// Part is a part of a station's past.
type Part struct {
	Station string
	Days    civil.Range
	Source  string // where it comes from, without secrets: of another source the same days are another part
}

func (p Part) nominal() string { return p.Station + " " + p.Days.First.String() + " " + p.Source }

// StoreBackFill stores what was fetched of a part of a station's past, and
// that it was, in one transaction; winds too, which seasons that are played
// again ask for. What is remembered of the station as
// something to ask every day stays as it is.
func (db *DB) StoreBackFill(ctx context.Context, part Part, h weather.Haul) error {
	err := db.tx(ctx, func(tx pgx.Tx) error {
		raw, err := storeRaw(ctx, tx, h)
		if err != nil {
			return err
		}
		if err := storeDays(ctx, tx, h, raw); err != nil {
			return err
		}
		if err := storeWinds(ctx, tx, h, h.Winds); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `
			insert into run (name, day, nominal, due_at, phase, started_at, done_at, beside) values ($1, $2, $3, $4, 'done', $4, now(), true)
			on conflict on constraint run_slot_once do update set started_at = excluded.started_at, done_at = excluded.done_at`,
			runBackFill, date(part.Days.Last), part.nominal(), h.At)
		return err
	})
	if err != nil {
		return fmt.Errorf("storing the past of %s: %w", part.Station, err)
	}
	return nil
}

// BackFilled gives when a part of a station's past was fetched; zero if it wasn't.
func (db *DB) BackFilled(ctx context.Context, part Part) (at time.Time, err error) {
	var found *time.Time
	err = db.pool.QueryRow(ctx, `select max(started_at) from run where name = $1 and day = $2 and nominal = $3`,
		runBackFill, date(part.Days.Last), part.nominal()).Scan(&found)
	if err != nil {
		return at, fmt.Errorf("looking what is known of the past of %s: %w", part.Station, err)
	}
	if found != nil {
		at = found.UTC()
	}
	return at, nil
}
