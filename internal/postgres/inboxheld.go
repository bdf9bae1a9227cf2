package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
	"budcall/internal/trail"
)

// Inbox is the memory within the transaction in which a mail is read.
type Inbox struct {
	*Book
	tx pgx.Tx
}

// Letter gives a letter of ours by its ID, as it was written; found is false
// where there is none. A letter to a program is none.
func (b *Inbox) Letter(ctx context.Context, id string) (l notice.Letter, person string, found bool, err error) {
	var content []byte
	err = b.tx.QueryRow(ctx, `select content, target from letter where id = $1 and channel = 'mail' and content is not null`, id).Scan(&content, &person)
	if errors.Is(err, pgx.ErrNoRows) {
		return l, "", false, nil
	}
	if err == nil {
		err = json.Unmarshal(content, &l)
	}
	if err != nil {
		return l, "", false, fmt.Errorf("looking up letter %s: %w", id, err)
	}
	return l, person, true, nil
}

// Receipts counts the letters of some kinds to a person since a moment.
func (b *Inbox) Receipts(ctx context.Context, person string, kinds []string, since time.Time) (n int, err error) {
	err = b.tx.QueryRow(ctx, `select count(*) from letter where target = $1 and kind = any($2) and written_at > $3`, person, kinds, since).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("counting receipts: %w", err)
	}
	return n, nil
}

// HeldMail is a mail that waits for somebody's yes.
type HeldMail struct {
	ID        int64
	Key       []byte
	Asked     string // code of the person who may say it
	Person    string // code of the sender
	Season    int
	At        time.Time
	Reports   []trail.Report // what it would store
	Confirmed bool
}

// HeldMail gives a mail that waits or waited for a yes.
func (db *DB) HeldMail(ctx context.Context, id int64) (h HeldMail, found bool, err error) {
	h, err = scanHeld(db.pool.QueryRow(ctx, heldMail, id))
	if errors.Is(err, pgx.ErrNoRows) {
		return h, false, nil
	}
	if err != nil {
		return h, false, fmt.Errorf("looking up the mail %d that waits: %w", id, err)
	}
	return h, true, nil
}

const heldMail = `select id, key, asked, person, season, at, reports, confirmed_at is not null from arrived where id = $1 and asked <> ''`

func scanHeld(row pgx.Row) (h HeldMail, err error) {
	var reports []byte
	if err := row.Scan(&h.ID, &h.Key, &h.Asked, &h.Person, &h.Season, &h.At, &reports, &h.Confirmed); err != nil {
		return h, err
	}
	h.At = h.At.UTC()
	return h, json.Unmarshal(reports, &h.Reports)
}

// ConfirmMail stores what a mail that waits says, once. stored is false where
// that was done before.
func (db *DB) ConfirmMail(ctx context.Context, id int64, key string, at time.Time, then Plan) (stored bool, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		stored = false
		h, err := scanHeld(tx.QueryRow(ctx, heldMail+` and confirmed_at is null for update`, id))
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		if stored, err = db.storeReports(ctx, tx, key, h.Season, h.Reports, then); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `update arrived set state = 'read', confirmed_at = $2 where id = $1`, id, at)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("storing what the mail %d says: %w", id, Explain(err))
	}
	return stored, nil
}
