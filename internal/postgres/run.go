package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
)

// Phase is how far a run has come.
type Phase string

// The phases of a run, in order.
const (
	Pull    Phase = "pull"    // weather in
	Advance Phase = "advance" // heat, forecasts, standings
	Tell    Phase = "tell"    // what is owed becomes letters
	Over    Phase = "done"
)

// Run is one slot of the schedule, or one occasion between slots.
type Run struct {
	ID      int64
	Name    string
	Day     civil.Date
	Nominal string
	Due     time.Time // the slot's time
	At      time.Time // the program's time at which it was begun
	Phase   Phase
}

// Plan is a run to begin: its pieces by phase, as keys.
type Plan struct {
	Run
	Beside  bool // it may go on beside others; else it waits until they are done
	Skipped int
	Pieces  map[Phase][]string
}

// beginLock is the class of the advisory lock under which runs are begun.
const beginLock = 0x62756462

// Begin writes a run with its pieces and the jobs of its first phase in one
// transaction. A run that was begun before is left alone, and so is one that
// must wait because another, begun by the schedule, isn't done: begun is false.
func (db *DB) Begin(ctx context.Context, p Plan) (begun bool, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		var busy bool
		if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock($1, 0)`, int32(beginLock)); err != nil {
			return err
		}
		err := tx.QueryRow(ctx, `select exists (select 1 from run where phase <> 'done' and not beside)`).Scan(&busy)
		if err != nil || busy && !p.Beside {
			return err
		}
		begun, err = begin(ctx, db, tx, p)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("beginning the run %s of %s %s: %w", p.Name, p.Day, p.Nominal, err)
	}
	return begun, nil
}

func begin(ctx context.Context, db *DB, tx pgx.Tx, p Plan) (bool, error) {
	var id int64
	err := tx.QueryRow(ctx, `
		insert into run (name, day, nominal, due_at, phase, started_at, skipped, beside)
		values ($1, $2, $3, $4, 'begun', $6, $5, $7)
		on conflict on constraint run_slot_once do nothing
		returning id`, p.Name, date(p.Day), p.Nominal, p.Due, p.Skipped, p.At, p.Beside).Scan(&id)
	if errors.Is(err, pgx.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	for phase, keys := range p.Pieces {
		for _, key := range keys {
			if _, err := tx.Exec(ctx, `insert into work (run_id, phase, key) values ($1, $2, $3)`, id, string(phase), key); err != nil {
				return false, err
			}
		}
	}
	return true, forward(ctx, db, tx, id)
}

// forward moves a run to the first phase with open pieces and queues them; a
// run without any is done. The run's row is locked, so that of two processes
// that finish the last two pieces exactly one moves it.
func forward(ctx context.Context, db *DB, tx pgx.Tx, runID int64) error {
	var phase Phase
	if err := tx.QueryRow(ctx, `select phase from run where id = $1 for update`, runID).Scan(&phase); err != nil {
		return err
	}
	next := Over
	err := tx.QueryRow(ctx, `
		select phase from work where run_id = $1 and done_at is null
		order by array_position(array['pull', 'advance', 'tell'], phase) limit 1`, runID).Scan(&next)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return err
	}
	if next == phase {
		return nil // others still work on this phase
	}
	if _, err := tx.Exec(ctx, `
		update run set phase = $2, done_at = case when $2 = 'done' then now() end where id = $1`, runID, string(next)); err != nil {
		return err
	}
	if next == Over {
		return nil
	}
	return enqueue(ctx, db, tx, runID, next)
}

func enqueue(ctx context.Context, db *DB, tx pgx.Tx, runID int64, phase Phase) error {
	rows, err := tx.Query(ctx, `
		update work set queued_at = now()
		where run_id = $1 and phase = $2 and done_at is null returning id`, runID, string(phase))
	if err != nil {
		return err
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil {
		return err
	}
	return db.insertWork(ctx, tx, ids)
}

// Piece is one piece of a run, open for this transaction.
type Piece struct {
	ID    int64
	Run   Run
	Phase Phase
	Key   string
}

// Look gives a piece without touching it; open is false where it is done.
func (db *DB) Look(ctx context.Context, id int64) (p Piece, open bool, err error) {
	p, open, err = look(ctx, db.pool, id, "")
	if err != nil {
		return p, false, fmt.Errorf("looking up piece %d of a run: %w", id, err)
	}
	return p, open, nil
}

// querier is a pool or a transaction.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

func look(ctx context.Context, q querier, id int64, lock string) (p Piece, open bool, err error) {
	var day_ pgtype.Date
	err = q.QueryRow(ctx, `
		select w.id, w.phase, w.key, w.done_at is null, r.id, r.name, r.day, r.nominal, r.due_at, r.started_at, r.phase
		from work w join run r on r.id = w.run_id where w.id = $1 `+lock, id).
		Scan(&p.ID, &p.Phase, &p.Key, &open, &p.Run.ID, &p.Run.Name, &day_, &p.Run.Nominal, &p.Run.Due, &p.Run.At, &p.Run.Phase)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, false, nil
	}
	p.Run.Day, p.Run.Due, p.Run.At = day(day_), p.Run.Due.UTC(), p.Run.At.UTC()
	return p, open, err
}

// settle does a piece in one transaction: f's writes, the mark that it is
// done, and the next phase's jobs. Where another was faster nothing happens.
func (db *DB) settle(ctx context.Context, id int64, f func(tx pgx.Tx, p Piece) (note string, err error)) error {
	return db.tx(ctx, func(tx pgx.Tx) error {
		p, open, err := look(ctx, tx, id, "for update of w")
		if err != nil || !open {
			return err
		}
		note, err := f(tx, p)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `update work set done_at = now(), note = $2 where id = $1`, id, note); err != nil {
			return err
		}
		return forward(ctx, db, tx, p.Run.ID)
	})
}

// LastRun gives the due time of the newest run of a name; zero if there is none.
func (db *DB) LastRun(ctx context.Context, name string) (time.Time, error) {
	var at *time.Time
	if err := db.pool.QueryRow(ctx, `select max(due_at) from run where name = $1`, name).Scan(&at); err != nil {
		return time.Time{}, fmt.Errorf("looking for the last run of %s: %w", name, err)
	}
	if at == nil {
		return time.Time{}, nil
	}
	return at.UTC(), nil
}

// Busy reports whether a run isn't done or a letter that is due at at isn't
// settled.
func (db *DB) Busy(ctx context.Context, at time.Time) (busy bool, err error) {
	err = db.pool.QueryRow(ctx, `
		select exists (select 1 from run where phase <> 'done')
			or exists (select 1 from letter where state in ('waiting', 'taken', 'dotted') and next_try <= $1)`, at).Scan(&busy)
	if err != nil {
		return false, fmt.Errorf("looking whether work is left: %w", err)
	}
	return busy, nil
}

// Nudge queues again the open pieces that were queued before the moment
// before: a process that died may have taken their jobs with it. Doing a piece
// twice changes nothing.
func (db *DB) Nudge(ctx context.Context, olderThan time.Duration) (n int, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, `
			update work w set queued_at = now() from run r
			where r.id = w.run_id and r.phase = w.phase and w.done_at is null
			  and w.queued_at <= now() - make_interval(secs => $1) returning w.id`, olderThan.Seconds())
		if err != nil {
			return err
		}
		ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
		if err != nil {
			return err
		}
		n = len(ids)
		return db.insertWork(ctx, tx, ids)
	})
	if err != nil {
		return 0, fmt.Errorf("queueing left-over pieces again: %w", err)
	}
	return n, nil
}
