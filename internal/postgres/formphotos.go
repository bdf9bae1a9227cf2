package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// ReportWithPhotos stores what a form with photos says, in one transaction. It
// is kept as a mail that came in and was read at once: a names it, and f makes
// of it, by the number it got, what is stored with it. The same Arrival.Key again
// changes nothing; reports that are known by their own key aren't stored again,
// though a photo that is new is.
func (db *DB) ReportWithPhotos(ctx context.Context, a Arrival, f func(*Inbox, Arrival) (Inbound, error)) (stored bool, err error) {
	packed, err := pack(a.Raw)
	if err != nil {
		return false, fmt.Errorf("packing a form with photos: %w", err)
	}
	err = db.tx(ctx, func(tx pgx.Tx) error {
		stored = false
		err := tx.QueryRow(ctx, `
			insert into arrived (key, raw, size, cut, null_sender, way, at) values ($1, $2, $3, false, false, $4, $5)
			on conflict on constraint arrived_once do nothing returning id`,
			a.Key, packed, a.Size, a.Way, a.At).Scan(&a.ID)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		in, err := f(&Inbox{tx: tx, Book: &Book{db: db, tx: tx}}, a)
		if err != nil {
			return err
		}
		stored = true
		return db.settleMail(ctx, tx, a, in, a.At)
	})
	if err != nil {
		return false, fmt.Errorf("storing a form with photos: %w", Explain(err))
	}
	return stored, nil
}

// PhotosOf counts the photos that came from a person by one way in since a
// moment.
func (db *DB) PhotosOf(ctx context.Context, person, way string, since time.Time) (n int, err error) {
	err = db.pool.QueryRow(ctx, `
		select count(*) from photo join arrived on arrived.id = photo.arrived_id
		where photo.person = $1 and arrived.way = $2 and photo.at > $3`, person, way, since).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("counting the photos of a person: %w", Explain(err))
	}
	return n, nil
}
