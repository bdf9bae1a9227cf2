package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
)

// ChangeStanding is how a proposed change of a site's file stands.
type ChangeStanding string

// The standings of a change.
const (
	ChangeProposed  ChangeStanding = "proposed"  // shown to whoever proposed it, not taken yet
	ChangeWaiting   ChangeStanding = "waiting"   // for the coordinator
	ChangeAccepted  ChangeStanding = "accepted"  // in force, or about to be written into the folder
	ChangeRefused   ChangeStanding = "refused"   // by the coordinator
	ChangeOvertaken ChangeStanding = "overtaken" // another version of the file came into force first
)

// SiteChange is a proposed change of a site's file.
type SiteChange struct {
	ID         int64
	Key        string // the same proposal again has the same
	Site, File string // code, and path in the configuration folder
	Base, Body []byte // the file from which the edit began, and as proposed
	Person     string // who proposes it
	Way        string // page, mail
	At         time.Time
	Preview    json.RawMessage
	Standing   ChangeStanding
	DecidedBy  string
	DecidedAt  time.Time // zero: not decided
	Why        string
	WrittenAt  time.Time // zero: it doesn't stand in the folder yet
}

// ProposeChange keeps a proposed change, once by its key, and gives its number.
func (db *DB) ProposeChange(ctx context.Context, c SiteChange) (id int64, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		id, err = proposeChange(ctx, tx, c)
		return err
	})
	return id, err
}

func proposeChange(ctx context.Context, tx pgx.Tx, c SiteChange) (id int64, err error) {
	base, err := json.Marshal(map[string][]byte{c.File: c.Base})
	if err != nil {
		return 0, fmt.Errorf("keeping a proposed change of %s: %w", c.Site, err)
	}
	body, err := json.Marshal(map[string][]byte{c.File: c.Body})
	if err != nil {
		return 0, fmt.Errorf("keeping a proposed change of %s: %w", c.Site, err)
	}
	// The update changes nothing; without it a key that is there gives no row.
	err = tx.QueryRow(ctx, `
		insert into site_change (key, site, file, base, body, person, way, at, preview) values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		on conflict on constraint site_change_once do update set key = excluded.key returning id`,
		c.Key, c.Site, c.File, base, body, c.Person, c.Way, c.At, c.Preview).Scan(&id)
	if err != nil {
		return 0, fmt.Errorf("keeping a proposed change of %s: %w", c.Site, Explain(err))
	}
	return id, nil
}

const changeColumns = `id, key, site, file, base, body, person, way, at, preview, standing, decided_by, coalesce(decided_at, '0001-01-01Z'), why, coalesce(written_at, '0001-01-01Z')`

func scanChange(row pgx.Row) (c SiteChange, err error) {
	var base, body json.RawMessage
	err = row.Scan(&c.ID, &c.Key, &c.Site, &c.File, &base, &body, &c.Person, &c.Way, &c.At, &c.Preview, &c.Standing, &c.DecidedBy, &c.DecidedAt, &c.Why, &c.WrittenAt)
	if err != nil {
		return c, err
	}
	c.At, c.DecidedAt, c.WrittenAt = c.At.UTC(), c.DecidedAt.UTC(), c.WrittenAt.UTC()
	if c.Base, err = oneFile(base, c.File); err == nil {
		c.Body, err = oneFile(body, c.File)
	}
	return c, err
}

func oneFile(raw json.RawMessage, name string) ([]byte, error) {
	var files map[string][]byte
	err := json.Unmarshal(raw, &files)
	return files[name], err
}

// Change gives a proposed change; found is false where there is none of that
// number.
func (db *DB) Change(ctx context.Context, id int64) (c SiteChange, found bool, err error) {
	c, err = scanChange(db.pool.QueryRow(ctx, `select `+changeColumns+` from site_change where id = $1`, id))
	if errors.Is(err, pgx.ErrNoRows) {
		return c, false, nil
	}
	if err != nil {
		return c, false, fmt.Errorf("looking up the proposed change %d: %w", id, Explain(err))
	}
	return c, true, nil
}

// Changes lists the changes proposed for a site, the newest first.
func (db *DB) Changes(ctx context.Context, site string) ([]SiteChange, error) {
	return db.changesWhere(ctx, `site = $1 order by id desc`, site)
}

// UnwrittenChanges lists the accepted changes that may not stand in the folder
// yet, the oldest first.
func (db *DB) UnwrittenChanges(ctx context.Context) ([]SiteChange, error) {
	return db.changesWhere(ctx, `standing = 'accepted' and written_at is null order by id`)
}

func (db *DB) changesWhere(ctx context.Context, where string, args ...any) ([]SiteChange, error) {
	rows, err := db.pool.Query(ctx, `select `+changeColumns+` from site_change where `+where, args...)
	if err == nil {
		var list []SiteChange
		if list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (SiteChange, error) { return scanChange(row) }); err == nil {
			return list, nil
		}
	}
	return nil, fmt.Errorf("listing proposed changes of sites: %w", Explain(err))
}

// WrittenChange notes that an accepted change stands in the folder.
func (db *DB) WrittenChange(ctx context.Context, id int64, at time.Time) error {
	if _, err := db.pool.Exec(ctx, `update site_change set written_at = $2 where id = $1 and written_at is null`, id, at); err != nil {
		return fmt.Errorf("noting that the change %d stands in the folder: %w", id, Explain(err))
	}
	return nil
}

// ChangeDecision is how a proposed change goes on.
type ChangeDecision struct {
	ID      int64
	To      ChangeStanding
	By      string // code of whoever decides; of ChangeWaiting whoever proposed it
	At      time.Time
	Why     string
	Letters []notice.Parcel // that tell of it
}

// DecideChange lets a proposed change go on, once: done is false where it no
// longer stands so that it can, or, of ChangeAccepted, where another change of
// the site's file was accepted since it began. Its letters go with it.
func (db *DB) DecideChange(ctx context.Context, d ChangeDecision) (done bool, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		done, err = db.decideChange(ctx, tx, d)
		return err
	})
	if err != nil {
		return false, fmt.Errorf("deciding on the proposed change %d: %w", d.ID, Explain(err))
	}
	return done, nil
}

// from is the standings from which a change can come to another.
var from = map[ChangeStanding][]string{
	ChangeWaiting:   {string(ChangeProposed)},
	ChangeAccepted:  {string(ChangeProposed), string(ChangeWaiting)},
	ChangeRefused:   {string(ChangeWaiting)},
	ChangeOvertaken: {string(ChangeProposed), string(ChangeWaiting), string(ChangeAccepted)},
}

func (db *DB) decideChange(ctx context.Context, tx pgx.Tx, d ChangeDecision) (done bool, err error) {
	// Two may be accepted at the same moment, of one file.
	if _, err := tx.Exec(ctx, `lock table site_change in share row exclusive mode`); err != nil {
		return false, err
	}
	tag, err := tx.Exec(ctx, `
		update site_change c set standing = $2, decided_by = $3, decided_at = $4, why = $5
		where id = $1 and standing = any($6) and written_at is null and ($2 <> 'accepted' or not exists (
			select 1 from (select * from site_change o where o.site = c.site and o.id <> c.id and o.standing = 'accepted' order by decided_at desc, id desc limit 1) last
			where last.body <> c.base and (last.written_at is null or last.decided_at >= c.at)))`,
		d.ID, string(d.To), d.By, d.At, d.Why, from[d.To])
	if err != nil || tag.RowsAffected() == 0 {
		return false, err
	}
	for _, l := range d.Letters {
		if err := db.postLetter(ctx, tx, l); err != nil {
			return false, err
		}
	}
	return true, nil
}

// AuthorOf gives who proposed the content that a site's file has, if it came by
// a change that was accepted.
func (db *DB) AuthorOf(ctx context.Context, file string, content []byte) (person, way string, found bool, err error) {
	body, err := json.Marshal(map[string][]byte{file: content})
	if err == nil {
		err = db.pool.QueryRow(ctx, `select person, way from site_change where standing = 'accepted' and body = $1::jsonb order by id desc limit 1`, body).Scan(&person, &way)
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return "", "", false, nil
	}
	if err != nil {
		return "", "", false, fmt.Errorf("looking up who changed %s: %w", file, Explain(err))
	}
	return person, way, true, nil
}

// AcceptedVersion is a configuration that came into force.
type AcceptedVersion struct {
	At     time.Time
	Author string
	Files  map[string][]byte
}

// AcceptedVersions gives every configuration that ever came into force, the
// oldest first.
func (db *DB) AcceptedVersions(ctx context.Context, f func(AcceptedVersion) error) error {
	rows, err := db.pool.Query(ctx, `select accepted_at, author, files from accepted_config order by id`)
	if err == nil {
		var v AcceptedVersion
		var raw []byte
		_, err = pgx.ForEachRow(rows, []any{&v.At, &v.Author, &raw}, func() error {
			v.At, v.Files = v.At.UTC(), nil
			if err := json.Unmarshal(raw, &v.Files); err != nil {
				return err
			}
			return f(v)
		})
	}
	if err != nil {
		return fmt.Errorf("reading accepted configurations: %w", Explain(err))
	}
	return nil
}
