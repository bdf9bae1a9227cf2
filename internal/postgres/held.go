package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// Why sending is held.
const (
	Restored   = "restored"    // what was told since the backup may not be known here
	FirstStart = "first start" // a season is on of which nothing is known here
)

// Hold is that nothing is sent until somebody has looked at what is owed.
type Hold struct {
	Since    time.Time // the program's time
	Why      string    // Restored, FirstStart
	BackupAt time.Time // of Restored: the program's time at which the backup was made
}

// Hold holds sending; letters that haven't gone out are held too.
func (db *DB) Hold(ctx context.Context, h Hold) error {
	if err := db.tx(ctx, func(tx pgx.Tx) error { return hold(ctx, tx, h) }); err != nil {
		return fmt.Errorf("holding what is to be sent: %w", Explain(err))
	}
	return nil
}

func hold(ctx context.Context, x execer, h Hold) error {
	if _, err := x.Exec(ctx, `
		insert into held (since, why, backup_at) values ($1, $2, $3)
		on conflict (one) do update set since = excluded.since, why = excluded.why, backup_at = excluded.backup_at`,
		h.Since, h.Why, instant(h.BackupAt)); err != nil {
		return err
	}
	_, err := x.Exec(ctx, `
		update letter set doubtful = doubtful + (state = 'dotted')::int, state = 'held', taken_by = null
		where state in ('waiting', 'taken', 'dotted')`)
	return err
}

// Held gives why sending is held; held is false where it isn't.
func (db *DB) Held(ctx context.Context) (h Hold, held bool, err error) {
	return heldNow(ctx, db.pool)
}

func heldNow(ctx context.Context, q querier) (h Hold, held bool, err error) {
	var backup *time.Time
	err = q.QueryRow(ctx, `select since, why, backup_at from held`).Scan(&h.Since, &h.Why, &backup)
	if errors.Is(err, pgx.ErrNoRows) {
		return h, false, nil
	}
	if err != nil {
		return h, false, fmt.Errorf("looking whether sending is held: %w", err)
	}
	if h.Since = h.Since.UTC(); backup != nil {
		h.BackupAt = backup.UTC()
	}
	return h, true, nil
}

// Sorting is what becomes of things that are owed and of letters that are held.
type Sorting struct {
	At            time.Time
	Release, Drop []int64  // things owed, by number
	Send, Forgo   []string // letters, by ID
	End           bool     // sending is no longer held
	Then          Plan     // the run that writes letters for what is released
}

// Sort releases or drops what is owed, in one transaction. What isn't there any
// more, or was sorted before, is left alone; n counts what was sorted.
func (db *DB) Sort(ctx context.Context, s Sorting) (n int, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		n = 0
		for _, step := range []struct {
			sql  string
			args []any
		}{
			{`update owed set released_at = $1 where id = any($2) and letter_id is null and dropped_at is null and released_at is null`, []any{s.At, s.Release}},
			{`update owed set dropped_at = $1 where id = any($2) and letter_id is null and dropped_at is null`, []any{s.At, s.Drop}},
			{`update letter set state = 'waiting', next_try = $1, expires_at = greatest(expires_at, $1::timestamptz + interval '6 hours') where id = any($2) and state = 'held'`, []any{s.At, s.Send}},
			{`update letter set state = 'dropped', settled_at = $1 where id = any($2) and state = 'held'`, []any{s.At, s.Forgo}},
		} {
			tag, err := tx.Exec(ctx, step.sql, step.args...)
			if err != nil {
				return err
			}
			n += int(tag.RowsAffected())
		}
		for _, ids := range [][]int64{s.Release, s.Drop} { // who was dropped had been told before
			if err := waitForAnswers(ctx, tx, ids, s.At); err != nil {
				return err
			}
		}
		if err := db.insertLetters(ctx, tx, s.Send); err != nil {
			return err
		}
		if s.End {
			if _, err := tx.Exec(ctx, `delete from held`); err != nil {
				return err
			}
		}
		if len(s.Release) == 0 && !s.End {
			return nil
		}
		_, err := begin(ctx, db, tx, s.Then)
		return err
	})
	if err != nil {
		return 0, fmt.Errorf("releasing or dropping what is owed: %w", Explain(err))
	}
	return n, nil
}

// waitForAnswers begins the time for an answer to what was held.
func waitForAnswers(ctx context.Context, tx pgx.Tx, ids []int64, at time.Time) error {
	_, err := tx.Exec(ctx, `
		update site_call c set answer_by = $1::timestamptz + o.answer_within,
			state = c.state || jsonb_build_object('asked_at', to_jsonb($1::timestamptz), 'answer_by', to_jsonb($1::timestamptz + o.answer_within))
		from (select distinct on (site, season, task) * from owed where id = any($2) and answer_within is not null order by site, season, task, id desc) o
		where c.site = o.site and c.season = o.season and c.task = o.task and c.standing = o.standing and c.answer_by is null`, at, ids)
	return err
}

// DoneSince reports whether a run of a name was done that began after a moment.
func (db *DB) DoneSince(ctx context.Context, name string, since time.Time) (done bool, err error) {
	err = db.pool.QueryRow(ctx, `select exists (select 1 from run where name = $1 and phase = 'done' and started_at > $2)`, name, since).Scan(&done)
	if err != nil {
		return false, fmt.Errorf("looking for a run of %s: %w", name, err)
	}
	return done, nil
}
