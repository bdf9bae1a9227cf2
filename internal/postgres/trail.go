package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/trail"
)

// Enter stores an entry of the trail's book and gives its number. The same key
// again changes nothing: then stored is false, and the number is that of the
// entry that was stored first.
func (db *DB) Enter(ctx context.Context, key string, e trail.Entry) (id int64, stored bool, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) (err error) {
		id, stored, err = enter(ctx, tx, key, e, 0)
		if stored {
			e.ID = id
			db.note(Noted{At: e.At, Key: key, Season: e.Season, Entry: &e})
		}
		return err
	})
	if err != nil {
		return 0, false, fmt.Errorf("storing %s of %s: %w", e.Kind, e.Subject, Explain(err))
	}
	return id, stored, nil
}

// enter is Enter within a transaction; as is the number that the entry had
// before the database was lost, 0 for a new one.
func enter(ctx context.Context, tx pgx.Tx, key string, e trail.Entry, as int64) (id int64, stored bool, err error) {
	data, err := json.Marshal(e.Data)
	if err != nil {
		return 0, false, err
	}
	err = tx.QueryRow(ctx, `
		insert into trail_entry (id, key, season, kind, subject, person, day, at, why, way, data) overriding system value
		values (coalesce(nullif($11, 0), nextval(pg_get_serial_sequence('trail_entry', 'id'))), $1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
		on conflict on constraint trail_entry_once do nothing
		returning id`,
		key, e.Season, string(e.Kind), e.Subject, e.Person, date(e.Day), e.At, e.Why, e.Way, data, as).Scan(&id)
	if stored = err == nil; !errors.Is(err, pgx.ErrNoRows) {
		return id, stored, err
	}
	err = tx.QueryRow(ctx, `select id from trail_entry where key = $1`, key).Scan(&id)
	return id, false, err
}

// Entries gives the entries of a season's trail in the order in which they
// came; former codes of trees are of every season, and so is what withdraws
// them.
func (b *Book) Entries(ctx context.Context, season int) ([]trail.Entry, error) {
	all, err := b.entries(ctx, `season = $1 or kind in ('also called', 'withdrawn')`, season)
	known := map[int64]bool{}
	return slices.DeleteFunc(all, func(e trail.Entry) bool {
		known[e.ID] = e.Season == season || e.Kind == trail.LabAlias || known[e.Withdraws] // an entry withdraws an earlier one
		return !known[e.ID]
	}), err
}

// Entry gives one entry by its number; found is false where there is none.
func (b *Book) Entry(ctx context.Context, id int64) (e trail.Entry, found bool, err error) {
	list, err := b.entries(ctx, `id = $1`, id)
	if err != nil || len(list) == 0 {
		return e, false, err
	}
	return list[0], true, nil
}

func (b *Book) entries(ctx context.Context, where string, arg any) ([]trail.Entry, error) {
	rows, err := b.tx.Query(ctx, `
		select id, season, kind, subject, person, day, at, why, way, data
		from trail_entry where `+where+` order by id`, arg)
	if err != nil {
		return nil, fmt.Errorf("reading the trail: %w", err)
	}
	list, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (e trail.Entry, err error) {
		var on pgtype.Date
		var data []byte
		if err := row.Scan(&e.ID, &e.Season, &e.Kind, &e.Subject, &e.Person, &on, &e.At, &e.Why, &e.Way, &data); err != nil {
			return e, err
		}
		e.Day, e.At = day(on), e.At.UTC()
		return e, json.Unmarshal(data, &e.Data)
	})
	if err != nil {
		return nil, fmt.Errorf("reading the trail: %w", err)
	}
	return list, nil
}
