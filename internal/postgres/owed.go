package postgres

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
)

// Tell settles the piece of a run that turns what is owed into letters: all of
// it and the letters in one transaction, so that nothing is told twice or lost.
func (db *DB) Tell(ctx context.Context, piece int64, f func(r Run, owed []notice.Due, troubles []string) ([]notice.Envelope, error)) error {
	err := db.settle(ctx, piece, func(tx pgx.Tx, p Piece) (string, error) {
		owed, err := dueNow(ctx, tx)
		if err != nil {
			return "", err
		}
		_, held, err := heldNow(ctx, tx)
		if err != nil {
			return "", err
		}
		var troubles []string
		if !held { // while it is held the ops person looks at the board and the log
			if troubles, err = untold(ctx, tx, p.Run.At); err != nil {
				return "", err
			}
		}
		envelopes, err := f(p.Run, owed, troubles)
		if err != nil {
			return "", err
		}
		for _, e := range envelopes {
			if err := db.postLetter(ctx, tx, e.Parcel); err != nil {
				return "", err
			}
			if _, err := tx.Exec(ctx, `update owed set letter_id = $1 where id = any($2)`, e.ID, e.Owed); err != nil {
				return "", err
			}
		}
		return fmt.Sprintf("%d letters", len(envelopes)), nil
	})
	if err != nil {
		return fmt.Errorf("turning what is owed into letters: %w", err)
	}
	return nil
}

func dueNow(ctx context.Context, tx pgx.Tx) ([]notice.Due, error) {
	rows, err := tx.Query(ctx, `
		select o.id, o.person, o.passed, o.item, o.season, o.at,
			coalesce((select array_agg(distinct e.letter_id) from owed e
				where e.site = o.site and e.season = o.season and e.task = o.task and e.person = o.person
				and e.letter_id is not null), '{}')
		from owed o where o.letter_id is null and o.dropped_at is null
			and (o.released_at is not null or not exists (select 1 from held))
		order by o.person, o.id for update of o`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (d notice.Due, err error) {
		var item json.RawMessage
		if err := row.Scan(&d.ID, &d.Person, &d.Passed, &item, &d.Season, &d.At, &d.Thread); err != nil {
			return d, err
		}
		return d, json.Unmarshal(item, &d.Item)
	})
}

// Untold gives what is owed about a site's season and in no letter yet, oldest
// first, without its threads.
func (b *Book) Untold(ctx context.Context, site string, year int) ([]notice.Due, error) {
	rows, err := b.tx.Query(ctx, `
		select id, person, passed, item, season, at from owed
		where site = $1 and season = $2 and letter_id is null and dropped_at is null order by id`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading what is owed about %s: %w", site, err)
	}
	due, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (d notice.Due, err error) {
		var item json.RawMessage
		if err := row.Scan(&d.ID, &d.Person, &d.Passed, &item, &d.Season, &d.At); err != nil {
			return d, err
		}
		return d, json.Unmarshal(item, &d.Item)
	})
	if err != nil {
		return nil, fmt.Errorf("reading what is owed about %s: %w", site, err)
	}
	return due, nil
}

func collectStrings(rows pgx.Rows) ([]string, error) { return pgx.CollectRows(rows, pgx.RowTo[string]) }
