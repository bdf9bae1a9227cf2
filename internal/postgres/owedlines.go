package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// OwedLine is a thing that somebody is still to be told.
type OwedLine struct {
	ID       int64
	Person   string // code; empty: nobody is left to ask
	Site     string
	Season   int
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Passed   bool
	Days     civil.Range
	At       time.Time     // since when it is owed
	Released bool          // it becomes a letter at the next occasion
	Newest   bool          // nothing newer is owed to the person about this call
	Now      call.Standing // how the call stands by now
}

// HeldLetter is a letter that was written and isn't sent.
type HeldLetter struct {
	ID       string
	Channel  notice.Channel
	Target   string
	Kind     string
	Written  time.Time
	Expires  time.Time
	State    notice.State
	Doubtful int // times it may have arrived already
	Items    []notice.Item
}

// Owed lists what is to be told, oldest first.
func (db *DB) Owed(ctx context.Context) ([]OwedLine, error) {
	rows, err := db.pool.Query(ctx, `
		select o.id, o.person, o.site, o.season, o.task, o.standing, o.reason, o.passed, o.item, o.at, o.released_at is not null,
			not exists (select 1 from owed n where n.site = o.site and n.season = o.season and n.task = o.task and n.person = o.person and n.id > o.id),
			coalesce(c.standing, '')
		from owed o left join site_call c on c.site = o.site and c.season = o.season and c.task = o.task
		where o.letter_id is null and o.dropped_at is null order by o.id`)
	if err != nil {
		return nil, fmt.Errorf("listing what is owed: %w", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (l OwedLine, err error) {
		var raw []byte
		var item notice.Item
		if err := row.Scan(&l.ID, &l.Person, &l.Site, &l.Season, &l.Task, &l.Standing, &l.Reason, &l.Passed, &raw, &l.At, &l.Released, &l.Newest, &l.Now); err != nil {
			return l, err
		}
		if err := json.Unmarshal(raw, &item); err != nil {
			return l, err
		}
		l.At, l.Days = l.At.UTC(), item.Days
		return l, nil
	})
	if err != nil {
		return nil, fmt.Errorf("listing what is owed: %w", err)
	}
	return list, nil
}

// HeldLetters lists the letters that wait to be sent, held or not, oldest first.
func (db *DB) HeldLetters(ctx context.Context) ([]HeldLetter, error) {
	rows, err := db.pool.Query(ctx, `
		select id, channel, target, kind, written_at, expires_at, state, doubtful, content from letter
		where state in ('held', 'waiting', 'taken', 'dotted') order by written_at, id`)
	if err != nil {
		return nil, fmt.Errorf("listing letters: %w", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (l HeldLetter, err error) {
		var raw []byte
		if err := row.Scan(&l.ID, &l.Channel, &l.Target, &l.Kind, &l.Written, &l.Expires, &l.State, &l.Doubtful, &raw); err != nil {
			return l, err
		}
		l.Written, l.Expires = l.Written.UTC(), l.Expires.UTC()
		if l.Channel != notice.ByMail || raw == nil {
			return l, nil
		}
		var content notice.Letter
		err = json.Unmarshal(raw, &content)
		l.Items = content.Items
		return l, err
	})
	if err != nil {
		return nil, fmt.Errorf("listing letters: %w", err)
	}
	return list, nil
}
