package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
)

// Snapshot is how the work stands, for whoever watches over it.
type Snapshot struct {
	SlotDone   map[string]time.Time     // by name of the run: the program's time of the last one that is done
	Newest     map[string]civil.Date    // by class of source: newest day with a usable reading
	OldestOwed map[string]time.Duration // by channel: since when the oldest letter is due, in the program's time
	OpenRun    time.Duration            // since when the oldest run that isn't done has been going on, in real time
	Calls      []CallCount
	Troubles   int
}

// CallCount is how many calls of a task have a standing.
type CallCount struct {
	Task, Standing string
	Count          int
}

// Snapshot gives how the work stands at at.
func (db *DB) Snapshot(ctx context.Context, at time.Time) (Snapshot, error) {
	s := Snapshot{SlotDone: map[string]time.Time{}, Newest: map[string]civil.Date{}, OldestOwed: map[string]time.Duration{}}
	for _, read := range []func(context.Context, time.Time) error{s.readRuns(db), s.readSources(db), s.readLetters(db), s.readCalls(db)} {
		if err := read(ctx, at); err != nil {
			return s, fmt.Errorf("looking how the work stands: %w", err)
		}
	}
	return s, nil
}

func (s *Snapshot) readRuns(db *DB) func(context.Context, time.Time) error {
	return func(ctx context.Context, _ time.Time) error {
		rows, err := db.pool.Query(ctx, `select name, max(started_at) from run where phase = 'done' group by name`)
		if err != nil {
			return err
		}
		var name string
		var at time.Time
		if _, err := pgx.ForEachRow(rows, []any{&name, &at}, func() error { s.SlotDone[name] = at; return nil }); err != nil {
			return err
		}
		// Queued when it began, by the database's own clock: a simulated one says nothing of how long work takes.
		var seconds float64
		err = db.pool.QueryRow(ctx, `
			select coalesce(extract(epoch from now() - min(w.queued_at)), 0)::float8
			from work w join run r on r.id = w.run_id where r.phase <> 'done' and w.done_at is null`).Scan(&seconds)
		s.OpenRun = time.Duration(seconds * float64(time.Second))
		return err
	}
}

func (s *Snapshot) readSources(db *DB) func(context.Context, time.Time) error {
	return func(ctx context.Context, _ time.Time) error {
		rows, err := db.pool.Query(ctx, `select class, min(newest) from source where newest is not null group by class`)
		if err != nil {
			return err
		}
		var class string
		var newest pgtype.Date
		_, err = pgx.ForEachRow(rows, []any{&class, &newest}, func() error { s.Newest[class] = day(newest); return nil })
		return err
	}
}

func (s *Snapshot) readLetters(db *DB) func(context.Context, time.Time) error {
	return func(ctx context.Context, at time.Time) error {
		rows, err := db.pool.Query(ctx, `
			select channel, min(written_at) from letter
			where state in ('waiting', 'taken', 'dotted') and written_at <= $1 group by channel`, at)
		if err != nil {
			return err
		}
		var channel string
		var since time.Time
		_, err = pgx.ForEachRow(rows, []any{&channel, &since}, func() error { s.OldestOwed[channel] = at.Sub(since); return nil })
		return err
	}
}

func (s *Snapshot) readCalls(db *DB) func(context.Context, time.Time) error {
	return func(ctx context.Context, at time.Time) error {
		rows, err := db.pool.Query(ctx, `
			select task, standing, count(*) from site_call
			where season = extract(year from $1::timestamptz) and standing <> '' group by task, standing order by task, standing`, at)
		if err != nil {
			return err
		}
		if s.Calls, err = pgx.CollectRows(rows, pgx.RowToStructByPos[CallCount]); err != nil {
			return err
		}
		return db.pool.QueryRow(ctx, `select count(*) from trouble where over_at is null`).Scan(&s.Troubles)
	}
}

// Pool tells how many connections there are, are idle, and may be.
func (db *DB) Pool() (total, idle, limit int) {
	st := db.pool.Stat()
	return int(st.TotalConns()), int(st.IdleConns()), int(st.MaxConns())
}
