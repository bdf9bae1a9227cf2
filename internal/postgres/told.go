package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/call"
)

// Told is one thing that was told to somebody about a site, and how the
// letter with it stands.
type Told struct {
	At       time.Time
	Person   string // code
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	State    string // of the letter; empty: not yet in one
}

// Told lists what was told about a site's season, newest first.
func (b *Book) Told(ctx context.Context, site string, year, limit int) ([]Told, error) {
	rows, err := b.tx.Query(ctx, `
		select o.at, o.person, o.task, o.standing, o.reason, coalesce(l.state, case when o.dropped_at is not null then 'dropped' else '' end)
		from owed o left join letter l on l.id = o.letter_id
		where o.site = $1 and o.season = $2 order by o.id desc limit $3`, site, year, limit)
	if err != nil {
		return nil, fmt.Errorf("reading what was told about %s: %w", site, err)
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (t Told, err error) {
		err = row.Scan(&t.At, &t.Person, &t.Task, &t.Standing, &t.Reason, &t.State)
		t.At = t.At.UTC()
		return t, err
	})
}

// LastItem gives what was last said to somebody about a call, as it was
// written then; found is false where nothing was.
func (b *Book) LastItem(ctx context.Context, site string, year int, task call.Task) (item []byte, found bool, err error) {
	err = b.tx.QueryRow(ctx, `
		select item from owed where site = $1 and season = $2 and task = $3 order by id desc limit 1`, site, year, string(task)).Scan(&item)
	if err == pgx.ErrNoRows {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, fmt.Errorf("reading what was last told about %s at %s: %w", task, site, err)
	}
	return item, true, nil
}

// Counts is how much of each kind of thing a season has seen.
type Counts struct {
	Mails    int // sent
	Messages int // to webhooks, sent
	Reports  int
	Answers  int
	Passed   int // things passed on
	Doubtful int // letters that may have arrived twice
}

// Count gives the counts of the whole database.
func (db *DB) Count(ctx context.Context) (c Counts, err error) {
	err = db.pool.QueryRow(ctx, `
		select
			(select count(*) from letter where channel = 'mail' and state = 'sent'),
			(select count(*) from letter where channel = 'webhook' and state = 'sent'),
			(select count(*) from report where kind not in ('going', 'can''t')),
			(select count(*) from report where kind in ('going', 'can''t')),
			(select count(*) from owed where passed and person <> ''),
			(select coalesce(sum(doubtful), 0) from letter)`).
		Scan(&c.Mails, &c.Messages, &c.Reports, &c.Answers, &c.Passed, &c.Doubtful)
	if err != nil {
		return c, fmt.Errorf("counting a season: %w", err)
	}
	return c, nil
}
