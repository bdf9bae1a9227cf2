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
	"budcall/internal/season"
	"budcall/internal/trail"
)

// Noted is what is written down beside the database too, so that it isn't lost
// with it: one of reports, an entry of the trail, a letter that was sent, links
// that were withdrawn.
type Noted struct {
	At      time.Time      `json:"at"`
	Key     string         `json:"key,omitempty"` // of the reports or the entry
	Season  int            `json:"season,omitempty"`
	Reports []trail.Report `json:"reports,omitempty"`
	Entry   *trail.Entry   `json:"entry,omitempty"`
	Letter  *NotedLetter   `json:"letter,omitempty"`

	Withdrawn *NotedWithdrawal `json:"withdrawn,omitempty"`
}

// NotedWithdrawal is that a person's links were withdrawn.
type NotedWithdrawal struct {
	Person string `json:"person"`
	Turn   int    `json:"turn"` // how often
}

// NotedLetter is a letter that was sent, and what it told.
type NotedLetter struct {
	ID      string         `json:"id"`
	Channel notice.Channel `json:"channel"`
	Target  string         `json:"target"`
	Kind    string         `json:"kind"`
	Written time.Time      `json:"written"`
	Told    []NotedTelling `json:"told,omitempty"`
}

// NotedTelling is a thing that was told to somebody, and how its call stood then.
type NotedTelling struct {
	Site     string          `json:"site"`
	Season   int             `json:"season"`
	Task     call.Task       `json:"task"`
	Serial   int             `json:"serial"`
	Person   string          `json:"person"`
	Standing call.Standing   `json:"standing"`
	Reason   call.Reason     `json:"reason"`
	Passed   bool            `json:"passed,omitempty"`
	Days     civil.Range     `json:"days,omitzero"`
	At       time.Time       `json:"at"`
	State    json.RawMessage `json:"state,omitempty"` // a season.State
}

func (db *DB) note(n Noted) {
	if db.Note != nil {
		db.Note(n)
	}
}

// noteSent notes that a letter went out, with what it told. A call that has
// been told nothing newer is noted as it stands.
func (db *DB) noteSent(ctx context.Context, tx pgx.Tx, id string, at time.Time) error {
	if db.Note == nil {
		return nil
	}
	l := NotedLetter{ID: id}
	err := tx.QueryRow(ctx, `select channel, target, kind, written_at from letter where id = $1`, id).Scan(&l.Channel, &l.Target, &l.Kind, &l.Written)
	if err != nil {
		return err
	}
	rows, err := tx.Query(ctx, `
		select o.site, o.season, o.task, o.serial, o.person, o.standing, o.reason, o.passed, coalesce(o.item->'days', 'null'), o.at,
			case when (c.state->>'serial')::int = o.serial then c.state else o.state end
		from owed o left join site_call c on c.site = o.site and c.season = o.season and c.task = o.task
		where o.letter_id = $1 order by o.id`, id)
	if err != nil {
		return err
	}
	l.Told, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (t NotedTelling, err error) {
		var days []byte
		if err := row.Scan(&t.Site, &t.Season, &t.Task, &t.Serial, &t.Person, &t.Standing, &t.Reason, &t.Passed, &days, &t.At, &t.State); err != nil {
			return t, err
		}
		t.At = t.At.UTC()
		return t, json.Unmarshal(days, &t.Days)
	})
	if err != nil {
		return err
	}
	l.Written = l.Written.UTC()
	db.note(Noted{At: at, Letter: &l})
	return nil
}

// Recovered counts what was taken from a journal.
type Recovered struct {
	Reports int `json:"reports"`
	Entries int `json:"entries"`
	Letters int `json:"letters"` // known to be sent since
}

// Recover stores what the database doesn't know yet of what was noted, and
// begins the run then if reports were among it. Doing it twice changes nothing.
func (db *DB) Recover(ctx context.Context, list []Noted, then Plan) (found Recovered, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		found = Recovered{}
		for _, n := range list {
			if err := db.recover(ctx, tx, n, &found); err != nil {
				return err
			}
		}
		if found.Reports == 0 {
			return nil
		}
		_, err := begin(ctx, db, tx, then)
		return err
	})
	if err != nil {
		return found, fmt.Errorf("recovering what came since the backup: %w", Explain(err))
	}
	return found, nil
}

func (db *DB) recover(ctx context.Context, tx pgx.Tx, n Noted, found *Recovered) error {
	switch {
	case len(n.Reports) > 0:
		fresh, err := insertReports(ctx, tx, n.Key, n.Season, n.Reports)
		if fresh {
			found.Reports += len(n.Reports)
		}
		return err
	case n.Entry != nil:
		_, fresh, err := enter(ctx, tx, n.Key, *n.Entry, n.Entry.ID)
		if fresh {
			found.Entries++
		}
		return err
	case n.Withdrawn != nil:
		_, err := tx.Exec(ctx, `
			insert into link_turn as l (person, turn, withdrawn_at) values ($1, $2, $3)
			on conflict (person) do update set turn = greatest(l.turn, excluded.turn)`, n.Withdrawn.Person, n.Withdrawn.Turn, n.At)
		return err
	case n.Letter != nil:
		fresh, err := recoverLetter(ctx, tx, *n.Letter, n.At)
		if fresh {
			found.Letters++
		}
		return err
	}
	return nil
}

// recoverLetter books that a letter was sent after the backup: as if it had been
// written here, but for the names in it.
func recoverLetter(ctx context.Context, tx pgx.Tx, l NotedLetter, at time.Time) (fresh bool, err error) {
	content := []byte("{}")
	if l.Channel == notice.ByMail {
		body := notice.Letter{ID: l.ID, Kind: notice.Kind(l.Kind), At: l.Written, Today: civil.At(l.Written)}
		for _, t := range l.Told {
			body.Items = append(body.Items, t.item())
		}
		if content, err = json.Marshal(body); err != nil {
			return false, err
		}
	}
	tag, err := tx.Exec(ctx, `
		insert into letter as l (id, channel, target, kind, content, written_at, expires_at, next_try, state, settled_at)
		values ($1, $2, $3, $4, $5, $6, $6, $6, 'sent', $7)
		on conflict (id) do update set state = 'sent', settled_at = $7 where l.state = 'held'`,
		l.ID, string(l.Channel), l.Target, l.Kind, content, l.Written, at)
	if err != nil || tag.RowsAffected() == 0 {
		return false, err
	}
	for _, t := range l.Told {
		if err := recoverTelling(ctx, tx, l.ID, t); err != nil {
			return false, err
		}
	}
	return true, nil
}

func (t NotedTelling) item() notice.Item {
	return notice.Item{Site: t.Site, SiteName: t.Site, Task: t.Task, Standing: t.Standing, Reason: t.Reason, Days: t.Days}
}

// recoverTelling books what was told, and lets the call stand as it did then
// unless it is known to have gone on from there.
func recoverTelling(ctx context.Context, tx pgx.Tx, letter string, t NotedTelling) error {
	item, err := json.Marshal(t.item())
	if err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `
		insert into owed (site, season, task, serial, person, standing, reason, passed, item, at, letter_id, state)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
		on conflict on constraint owed_once do update set letter_id = excluded.letter_id where owed.letter_id is null`,
		t.Site, t.Season, string(t.Task), t.Serial, t.Person, string(t.Standing), string(t.Reason), t.Passed, item, t.At, letter, t.State); err != nil {
		return err
	}
	if t.State == nil {
		return nil
	}
	var s season.State
	if err := json.Unmarshal(t.State, &s); err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `
		insert into site_call as c (site, season, task, standing, answer_by, state) values ($1, $2, $3, $4, $5, $6)
		on conflict on constraint site_call_key do update set standing = excluded.standing, answer_by = excluded.answer_by, state = excluded.state
		where coalesce((c.state->>'serial')::int, 0) <= $7`,
		t.Site, t.Season, string(t.Task), string(s.Standing), instant(s.AnswerBy), t.State, t.Serial)
	return err
}
