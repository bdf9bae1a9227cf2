package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
	"budcall/internal/trail"
)

// Inbound is what was made of a mail, to be stored with everything that
// follows from it.
type Inbound struct {
	Outcome  string
	Person   string // code of the sender
	Token    string // letter of ours that it answers
	Key      string // of the reports
	Season   int
	Reports  []trail.Report
	Then     Plan // the run that decides anew; only begun if Reports were stored
	Held     bool // Reports wait for a yes by Asked
	Asked    string
	Photos   []Photo
	Letters  []notice.Parcel
	Returned string // letter of ours that came back
	Why      string // it did, without personal data
}

// Photo is a picture without its metadata.
type Photo struct {
	Type  string
	Bytes []byte
}

// ReadMail takes the oldest of the mails that nobody has read, those that failed
// last, lets f make of it what it is, and stores that in the same
// transaction. found is false where none waits. Another process reads others
// meanwhile. After an error of f the mail waits, and counts one failure more.
func (db *DB) ReadMail(ctx context.Context, at time.Time, f func(*Inbox, Arrival) (Inbound, error)) (found bool, err error) {
	var id int64
	err = db.tx(ctx, func(tx pgx.Tx) error {
		a, err := scanArrival(tx.QueryRow(ctx, `
			select `+arrivalColumns+` from arrived where state = 'waiting'
			order by attempts, id limit 1 for update skip locked`))
		if errors.Is(err, pgx.ErrNoRows) {
			found = false
			return nil
		}
		if err != nil {
			return err
		}
		found, id = true, a.ID
		in, err := f(&Inbox{tx: tx, Book: &Book{db: db, tx: tx}}, a)
		if err != nil {
			return err
		}
		return db.settleMail(ctx, tx, a, in, at)
	})
	if err == nil {
		return found, nil
	}
	err = fmt.Errorf("reading the mail %d that came in: %w", id, Explain(err))
	if id == 0 || Temporary(err) {
		return found, err
	}
	if _, counted := db.pool.Exec(ctx, `update arrived set attempts = attempts + 1 where id = $1`, id); counted != nil {
		return found, errors.Join(err, counted)
	}
	return found, err
}

// settleMail stores what was made of a mail.
func (db *DB) settleMail(ctx context.Context, tx pgx.Tx, a Arrival, in Inbound, at time.Time) error {
	state, reports := "read", []byte("[]")
	var err error
	switch {
	case in.Held:
		state = "held"
		if reports, err = json.Marshal(in.Reports); err != nil {
			return err
		}
	case len(in.Reports) > 0:
		if _, err := db.storeReports(ctx, tx, in.Key, in.Season, in.Reports, in.Then); err != nil {
			return err
		}
	}
	for i, p := range in.Photos {
		sum := sha256.Sum256(p.Bytes)
		if _, err := tx.Exec(ctx, `
			insert into photo (arrived_id, seq, report_key, person, type, bytes, sha256, at) values ($1, $2, $3, $4, $5, $6, $7, $8)
			on conflict on constraint photo_once do nothing`, a.ID, i, in.Key, in.Person, p.Type, p.Bytes, sum[:], a.At); err != nil {
			return err
		}
	}
	if in.Returned != "" {
		if err := db.returned(ctx, tx, in.Returned, in.Why, at); err != nil {
			return err
		}
	}
	for _, l := range in.Letters {
		if err := db.writeLetter(ctx, tx, l); err != nil {
			return err
		}
	}
	_, err = tx.Exec(ctx, `
		update arrived set state = $2, outcome = $3, person = $4, token = $5, read_at = $6, asked = $7, season = $8, reports = $9
		where id = $1`, a.ID, state, in.Outcome, in.Person, in.Token, at, in.Asked, in.Season, reports)
	return err
}

// returned books that a letter came back: it is no answer, at once. A letter
// that is known to be lost already stays as it is.
func (db *DB) returned(ctx context.Context, tx pgx.Tx, letter, why string, at time.Time) error {
	tag, err := tx.Exec(ctx, `
		update letter set state = 'refused', error = $2, settled_at = $3, taken_by = null
		where id = $1 and state <> 'refused'`, letter, why, at)
	if err != nil || tag.RowsAffected() == 0 || db.Lost == nil {
		return err
	}
	rows, err := tx.Query(ctx, `select distinct site from owed where letter_id = $1 order by site`, letter)
	if err != nil {
		return err
	}
	sites, err := collectStrings(rows)
	if err != nil || len(sites) == 0 {
		return err
	}
	if plan, ok := db.Lost(letter, sites, at); ok {
		_, err = begin(ctx, db, tx, plan)
	}
	return err
}

// GiveUpMail books that a mail can't be read by a program, with the letters
// that pass it on to a person.
func (db *DB) GiveUpMail(ctx context.Context, id int64, at time.Time, letters []notice.Parcel) error {
	err := db.tx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `update arrived set state = 'unreadable', read_at = $2 where id = $1 and state = 'waiting'`, id, at)
		if err != nil || tag.RowsAffected() == 0 {
			return err
		}
		for _, l := range letters {
			if err := db.writeLetter(ctx, tx, l); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("passing the mail %d on: %w", id, Explain(err))
	}
	return nil
}
