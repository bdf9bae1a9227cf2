package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
)

// Live takes the advisory lock by which other processes see that this one
// lives; what it has taken is left to it as long as the lock is held.
func (db *DB) Live(ctx context.Context) error {
	conn, err := pgx.ConnectConfig(ctx, db.pool.Config().ConnConfig)
	if err != nil {
		return fmt.Errorf("opening the connection that shows this process lives: %w", Explain(err))
	}
	// Shared, so that a new connection needn't wait until the server has noticed that the old one is dead.
	if _, err := conn.Exec(ctx, `select pg_advisory_lock_shared($1, $2)`, int32(migrateLock), db.instance); err != nil {
		conn.Close(ctx)
		return fmt.Errorf("showing that this process lives: %w", err)
	}
	db.alive = conn
	return nil
}

// StillLive checks the connection of Live and makes a new one where it broke.
func (db *DB) StillLive(ctx context.Context) error {
	if db.alive != nil && db.alive.Ping(ctx) == nil {
		return nil
	}
	if db.alive != nil {
		db.alive.Close(ctx)
	}
	return db.Live(ctx)
}

// free is true of a letter that no living process is sending.
const free = `(l.state = 'waiting' or l.state in ('taken', 'dotted') and not exists (
	select 1 from pg_locks k where k.locktype = 'advisory' and k.granted
	and k.database = (select oid from pg_database where datname = current_database())
	and k.classid = 1651860579 and k.objid = l.taken_by and (l.taken_by <> $2 or l.id = any($3))))`

// Take claims a letter for this process. ok is false where it is sent, or in
// the hands of another living process, or not due at at.
func (db *DB) Take(ctx context.Context, id string, at time.Time) (l notice.Parcel, ok bool, err error) {
	if _, busy := db.sending.LoadOrStore(id, true); busy {
		return l, false, nil
	}
	defer func() {
		if !ok {
			db.sending.Delete(id)
		}
	}()
	err = db.pool.QueryRow(ctx, `
		update letter l set taken_by = $2, attempts = attempts + 1, state = 'taken',
			doubtful = doubtful + (state = 'dotted')::int
		where l.id = $1 and l.next_try <= $4 and `+free+`
		returning l.id, l.channel, l.target, l.kind, l.content, l.written_at, l.expires_at, l.attempts, l.doubtful`,
		id, db.instance, []string{}, at).
		Scan(&l.ID, &l.Channel, &l.Target, &l.Kind, &l.Content, &l.WrittenAt, &l.ExpiresAt, &l.Attempts, &l.Doubtful)
	if errors.Is(err, pgx.ErrNoRows) {
		return l, false, nil
	}
	if err != nil {
		return l, false, fmt.Errorf("taking letter %s: %w", id, err)
	}
	return l, true, nil
}

// Dot records that the end of the message is about to be sent: from here on
// it may have arrived.
func (db *DB) Dot(ctx context.Context, id string) error {
	tag, err := db.pool.Exec(ctx, `update letter set state = 'dotted' where id = $1 and state = 'taken' and taken_by = $2`, id, db.instance)
	if err == nil && tag.RowsAffected() != 1 {
		err = errors.New("it is no longer in the hands of this process")
	}
	if err != nil {
		return fmt.Errorf("recording that letter %s is being sent: %w", id, err)
	}
	return nil
}

// settleWithin is how long Settle waits for a database that is away: what was
// sent and isn't recorded is sent again, so waiting out a restart saves mails.
const settleWithin = 30 * time.Second

// Settle records how an attempt ended; a letter that is no longer in the hands
// of this process is left alone. Dotted is an attempt that may have arrived
// and will be repeated, which then counts as doubtful.
func (db *DB) Settle(ctx context.Context, id string, s notice.Settlement) error {
	defer db.sending.Delete(id)
	began := time.Now()
	for try := 0; ; try++ {
		err := db.tx(ctx, func(tx pgx.Tx) error { return db.settleLetter(ctx, tx, id, s) })
		if err == nil {
			return nil
		}
		if !Temporary(err) || time.Since(began) > settleWithin || !pause(ctx, try) {
			return fmt.Errorf("recording how sending letter %s ended: %w", id, err)
		}
	}
}

// settleLetter books the end of an attempt, and, where the letter will never
// arrive, begins the run that decides anew on the sites it is about.
func (db *DB) settleLetter(ctx context.Context, tx pgx.Tx, id string, s notice.Settlement) error {
	if s.State == notice.Sent {
		if err := db.noteSent(ctx, tx, id, s.At); err != nil {
			return err
		}
	}
	tag, err := tx.Exec(ctx, `
			update letter set state = $3, relay_id = $4, error = $5, taken_by = null,
				next_try = coalesce($6, next_try), settled_at = case when $3 in ('waiting', 'dotted') then null else $7::timestamptz end
			where id = $1 and taken_by = $2`,
		id, db.instance, string(s.State), s.RelayID, s.Error, instant(s.NextTry), s.At)
	lost := s.State == notice.Refused // given up says nothing of the person: nobody's mails went out
	if err != nil || tag.RowsAffected() == 0 || !lost || db.Lost == nil {
		return err
	}
	rows, err := tx.Query(ctx, `select distinct site from owed where letter_id = $1 order by site`, id)
	if err != nil {
		return err
	}
	sites, err := collectStrings(rows)
	if err != nil || len(sites) == 0 {
		return err
	}
	if plan, ok := db.Lost(id, sites, s.At); ok {
		_, err = begin(ctx, db, tx, plan)
	}
	return err
}

// QueueLetters adds jobs for the letters that are due at at and in nobody's
// hands. at is the program's time.
func (db *DB) QueueLetters(ctx context.Context, at time.Time) (n int, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, `
			select l.id from letter l
			where l.state in ('waiting', 'taken', 'dotted') and l.next_try <= $1 and `+free+`
			order by l.next_try, l.id limit 1000`, at, db.instance, db.inHand())
		if err != nil {
			return err
		}
		ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			return err
		}
		n = len(ids)
		return db.insertLetters(ctx, tx, ids)
	})
	if err != nil {
		return 0, fmt.Errorf("queueing letters that are due: %w", err)
	}
	return n, nil
}

// inHand lists the letters that this process is sending.
func (db *DB) inHand() []string {
	ids := []string{}
	db.sending.Range(func(id, _ any) bool { ids = append(ids, id.(string)); return true })
	return ids
}

// writeLetter stores a letter and the job that delivers it, or holds it while
// sending is held; a letter that is there already is left as it is.
func (db *DB) writeLetter(ctx context.Context, tx pgx.Tx, l notice.Parcel) error {
	_, held, err := heldNow(ctx, tx)
	if err != nil {
		return err
	}
	if held {
		_, err := insertLetter(ctx, tx, l, notice.Held)
		return err
	}
	return db.postLetter(ctx, tx, l)
}

// postLetter is writeLetter of what may go out although sending is held.
func (db *DB) postLetter(ctx context.Context, tx pgx.Tx, l notice.Parcel) error {
	fresh, err := insertLetter(ctx, tx, l, notice.Waiting)
	if err != nil || !fresh {
		return err
	}
	if l.NotBefore.After(l.WrittenAt) {
		return nil // QueueLetters finds it when its time has come
	}
	return db.insertLetters(ctx, tx, []string{l.ID})
}

func insertLetter(ctx context.Context, tx pgx.Tx, l notice.Parcel, as notice.State) (fresh bool, err error) {
	tag, err := tx.Exec(ctx, `
		insert into letter (id, channel, target, kind, content, written_at, expires_at, next_try, state)
		values ($1, $2, $3, $4, $5, $6, $7, coalesce($8::timestamptz, $6::timestamptz), $9) on conflict (id) do nothing`,
		l.ID, string(l.Channel), l.Target, l.Kind, l.Content, l.WrittenAt, l.ExpiresAt, instant(l.NotBefore), string(as))
	return tag.RowsAffected() == 1, err
}
