package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/season"
)

// Decision is what was decided for a site, to be stored with what it owes.
type Decision struct {
	Site    string
	Season  int
	At      time.Time // the program's time
	Before  map[call.Task]season.State
	Outcome season.Outcome
	Items   []notice.Item   // one for each of Outcome.Owed, in its order
	Again   []notice.Due    // owed before and in no letter yet, as it is now
	Letters []notice.Parcel // messages to webhooks
}

// Decide stores calls, changes of standing, what is owed and the messages to
// webhooks. What is owed already isn't owed again.
func (b *Book) Decide(ctx context.Context, d Decision) error {
	for i := range d.Outcome.Owed {
		if err := b.saveOwed(ctx, d, i); err != nil {
			return fmt.Errorf("storing what is owed for %q at %s: %w", d.Outcome.Owed[i].Task, d.Site, err)
		}
	}
	for _, again := range d.Again {
		item, err := json.Marshal(again.Item)
		if err == nil {
			_, err = b.tx.Exec(ctx, `update owed set item = $2 where id = $1 and letter_id is null and dropped_at is null`, again.ID, item)
		}
		if err != nil {
			return fmt.Errorf("bringing up to date what is owed for %q at %s: %w", again.Item.Task, d.Site, err)
		}
	}
	for _, task := range call.Tasks {
		if err := b.saveCall(ctx, d, task); err != nil {
			return fmt.Errorf("storing %q at %s: %w", task, d.Site, err)
		}
	}
	for _, l := range d.Letters {
		if err := b.db.writeLetter(ctx, b.tx, l); err != nil {
			return fmt.Errorf("storing the message %s to a webhook: %w", l.ID, err)
		}
	}
	return nil
}

// saveOwed stores the i-th thing owed, with how its call stands once it is told.
// While sending is held nobody is told, so that the time for an answer can't begin.
func (b *Book) saveOwed(ctx context.Context, d Decision, i int) error {
	o := d.Outcome.Owed[i]
	item, err := json.Marshal(d.Items[i])
	if err != nil {
		return err
	}
	s := d.Outcome.Calls[o.Task]
	state, err := json.Marshal(s)
	if err != nil {
		return err
	}
	_, held, err := heldNow(ctx, b.tx)
	if err != nil {
		return err
	}
	var within *time.Duration
	if held && !s.AnswerBy.IsZero() {
		wait := s.AnswerBy.Sub(d.At)
		within = &wait
	}
	tag, err := b.tx.Exec(ctx, `
		insert into owed (site, season, task, serial, person, standing, reason, passed, item, at, answer_within, state)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) on conflict on constraint owed_once do nothing`,
		d.Site, d.Season, string(o.Task), o.Serial, o.Person, string(o.Standing), string(o.Reason), o.Passed, item, d.At, within, state)
	if err == nil && tag.RowsAffected() == 1 && held {
		s.AnswerBy = time.Time{}
		d.Outcome.Calls[o.Task] = s
	}
	return err
}

func (b *Book) saveCall(ctx context.Context, d Decision, task call.Task) error {
	s, before := d.Outcome.Calls[task], d.Before[task]
	raw, err := json.Marshal(s)
	if err != nil {
		return err
	}
	if _, err := b.tx.Exec(ctx, `
		insert into site_call as c (site, season, task, standing, answer_by, state) values ($1, $2, $3, $4, $5, $6)
		on conflict on constraint site_call_key do update set standing = excluded.standing, answer_by = excluded.answer_by, state = excluded.state
		where c.state <> excluded.state`,
		d.Site, d.Season, string(task), string(s.Standing), instant(s.AnswerBy), raw); err != nil {
		return err
	}
	if s.Standing == before.Standing {
		return nil
	}
	_, err = b.tx.Exec(ctx, `
		insert into standing_change (site, season, task, at, standing, reason, first_day, last_day) values ($1, $2, $3, $4, $5, $6, $7, $8)`,
		d.Site, d.Season, string(task), d.At, string(s.Standing), string(s.Reason), date(s.Days.First), date(s.Days.Last))
	return err
}

// AnswersDue lists the sites of which an answer is overdue at at.
func (db *DB) AnswersDue(ctx context.Context, at time.Time) ([]string, error) {
	rows, err := db.pool.Query(ctx, `select distinct site from site_call where answer_by <= $1 order by site`, at)
	if err != nil {
		return nil, fmt.Errorf("looking for overdue answers: %w", err)
	}
	return collectStrings(rows)
}

// NextAnswer gives the next moment at which an answer becomes overdue; zero
// where none is waited for.
func (db *DB) NextAnswer(ctx context.Context) (time.Time, error) {
	return db.moment(ctx, `select min(answer_by) from site_call`)
}

// NextLetter gives the next moment at which a letter is to be tried again.
func (db *DB) NextLetter(ctx context.Context) (time.Time, error) {
	return db.moment(ctx, `select min(next_try) from letter where state = 'waiting' or state = 'dotted' and taken_by is null`)
}

// NextSource gives the next moment at which a source is to be asked again.
func (db *DB) NextSource(ctx context.Context) (time.Time, error) {
	return db.moment(ctx, `select min(retry_at) from source`)
}

func (db *DB) moment(ctx context.Context, query string) (time.Time, error) {
	var at *time.Time
	if err := db.pool.QueryRow(ctx, query).Scan(&at); err != nil {
		return time.Time{}, fmt.Errorf("looking for what falls due next: %w", err)
	}
	if at == nil {
		return time.Time{}, nil
	}
	return at.UTC(), nil
}
