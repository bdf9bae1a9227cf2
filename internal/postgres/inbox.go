package postgres

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/jackc/pgx/v5"
)

// Arrival is a mail that came in.
type Arrival struct {
	ID         int64
	Key        []byte // the same for the same mail
	Raw        []byte
	Size       int64
	Cut        bool // larger than the limit: Raw is the header alone
	NullSender bool // came as bounces come
	Way        string
	At         time.Time
	Attempts   int // to read it, that failed
}

// Arrive stores a mail for good. fresh is false where it is there already, as
// it came before.
func (db *DB) Arrive(ctx context.Context, a Arrival) (fresh bool, err error) {
	packed, err := pack(a.Raw)
	if err != nil {
		return false, fmt.Errorf("packing a mail that came in: %w", err)
	}
	tag, err := db.pool.Exec(ctx, `
		insert into arrived (key, raw, size, cut, null_sender, way, at) values ($1, $2, $3, $4, $5, $6, $7)
		on conflict on constraint arrived_once do nothing`,
		a.Key, packed, a.Size, a.Cut, a.NullSender, a.Way, a.At)
	if err != nil {
		return false, fmt.Errorf("storing a mail that came in: %w", Explain(err))
	}
	return tag.RowsAffected() == 1, nil
}

// pack and unpack are how mails are kept: gzip.
func pack(raw []byte) ([]byte, error) {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(raw); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func unpack(packed []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

const arrivalColumns = `id, key, raw, size, cut, null_sender, way, at, attempts`

func scanArrival(row pgx.Row) (a Arrival, err error) {
	var packed []byte
	if err := row.Scan(&a.ID, &a.Key, &packed, &a.Size, &a.Cut, &a.NullSender, &a.Way, &a.At, &a.Attempts); err != nil {
		return a, err
	}
	a.At = a.At.UTC()
	if packed != nil {
		a.Raw, err = unpack(packed)
	}
	return a, err
}

// RawMail gives a mail as it came; ok is false where it isn't kept any more.
func (db *DB) RawMail(ctx context.Context, id int64) (raw []byte, ok bool, err error) {
	a, err := scanArrival(db.pool.QueryRow(ctx, `select `+arrivalColumns+` from arrived where id = $1`, id))
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, fmt.Errorf("looking up the mail %d that came in: %w", id, err)
	}
	return a.Raw, a.Raw != nil, nil
}

// ArrivalsLeft counts the mails that nobody has read yet.
func (db *DB) ArrivalsLeft(ctx context.Context) (n int, err error) {
	if err := db.pool.QueryRow(ctx, `select count(*) from arrived where state = 'waiting'`).Scan(&n); err != nil {
		return 0, fmt.Errorf("counting mails to be read: %w", err)
	}
	return n, nil
}

// DropMails forgets the bytes of mails and photos that came before a moment.
// What was made of them stays.
func (db *DB) DropMails(ctx context.Context, before time.Time) error {
	err := db.tx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `update arrived set raw = null where at < $1 and raw is not null and state <> 'waiting'`, before); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `delete from photo where at < $1`, before)
		return err
	})
	if err != nil {
		return fmt.Errorf("dropping old mails: %w", err)
	}
	return nil
}

// Place is how far a mailbox was read: up to UID, but for those in Left.
type Place struct {
	Validity, UID uint32
	Left          []uint32
}

// MailboxPlace gives the place of a mailbox; zero where none is known.
func (db *DB) MailboxPlace(ctx context.Context, mailbox string) (p Place, err error) {
	var left []int64
	var validity, uid int64
	err = db.pool.QueryRow(ctx, `select validity, uid, left_out from mailbox_place where mailbox = $1`, mailbox).Scan(&validity, &uid, &left)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, nil
	}
	if err != nil {
		return p, fmt.Errorf("looking up how far the mailbox was read: %w", Explain(err))
	}
	p.Validity, p.UID = uint32(validity), uint32(uid)
	for _, u := range left {
		p.Left = append(p.Left, uint32(u))
	}
	return p, nil
}

// SetMailboxPlace writes the place of a mailbox down.
func (db *DB) SetMailboxPlace(ctx context.Context, mailbox string, p Place) error {
	left := make([]int64, 0, len(p.Left))
	for _, u := range p.Left {
		left = append(left, int64(u))
	}
	_, err := db.pool.Exec(ctx, `
		insert into mailbox_place (mailbox, validity, uid, left_out) values ($1, $2, $3, $4)
		on conflict (mailbox) do update set validity = excluded.validity, uid = excluded.uid, left_out = excluded.left_out`,
		mailbox, int64(p.Validity), int64(p.UID), left)
	if err != nil {
		return fmt.Errorf("writing down how far the mailbox was read: %w", Explain(err))
	}
	return nil
}
