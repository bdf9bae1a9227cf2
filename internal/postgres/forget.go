package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/notice"
	"budcall/internal/pseudonym"
)

// held by what a column holds: how a person is replaced in it.
const (
	nothing  = "nothing of a person"
	aCode    = "the code of a person"
	aLine    = "a line that a program wrote"
	aText    = "what a person wrote"
	someJSON = "JSON"
	files    = "files of a configuration"
	aMail    = "a mail as it came" // dropped: a hand can't be replaced
	anID     = "an ID with the code in it"
	aTarget  = "a subject that may end in the code" // "mail to otso"
	aPhoto   = "a photo, which may show anybody"    // dropped with its row where it is theirs
)

// holds says of every column with text or bytes what of a person it may hold.
// A test holds it to the catalogue.
var holds = map[string]string{
	"accepted_config.author": aCode, "accepted_config.files": files, "accepted_config.sha256": nothing,
	"run.name": nothing, "run.nominal": nothing, "run.phase": nothing,
	"work.phase": nothing, "work.key": nothing, "work.note": aLine,
	"raw_copy.source": nothing, "raw_copy.sha256": nothing, "raw_copy.body": nothing,
	"reject.reason": nothing, "reject.text": nothing,
	"source.source": nothing, "source.class": nothing, "source.error": nothing, "source.sha256": nothing, "source.last_modified": nothing, "source.etag": nothing,
	"station_day.station": nothing, "station_day.mark": nothing, "station_day.mean_of": nothing,
	"station_day_before.station": nothing, "station_day_before.mark": nothing, "station_day_before.mean_of": nothing,
	"station_year.station": nothing, "station_year.days": nothing, "station_wind.station": nothing,
	"outlook_day.site": nothing, "outlook_wind.site": nothing, "issued.site": nothing, "issued.live": nothing, "not_issued.site": nothing,
	"site_call.site": nothing, "site_call.task": nothing, "site_call.standing": nothing, "site_call.state": someJSON,
	"standing_change.site": nothing, "standing_change.task": nothing, "standing_change.standing": nothing, "standing_change.reason": nothing,
	"report.key": nothing, "report.site": nothing, "report.person": aCode, "report.task": nothing, "report.kind": nothing, "report.tree": nothing, "report.way": nothing, "report.note": aText,
	"letter.id": anID, "letter.channel": nothing, "letter.target": aCode, "letter.kind": nothing, "letter.content": someJSON, "letter.state": nothing, "letter.relay_id": nothing, "letter.error": aLine,
	"owed.site": nothing, "owed.task": nothing, "owed.person": aCode, "owed.standing": nothing, "owed.reason": nothing, "owed.item": someJSON, "owed.letter_id": nothing, "owed.state": someJSON,
	"trouble.subject": aTarget, "trouble.text": aLine,
	"score.site": nothing, "score.basis": nothing, "scored.site": nothing,
	"trail_entry.key": nothing, "trail_entry.kind": nothing, "trail_entry.subject": nothing, "trail_entry.person": aCode, "trail_entry.why": aText, "trail_entry.way": nothing, "trail_entry.data": someJSON,
	"arrived.key": nothing, "arrived.raw": aMail, "arrived.way": nothing, "arrived.state": nothing, "arrived.outcome": nothing, "arrived.person": aCode, "arrived.token": nothing, "arrived.asked": aCode, "arrived.reports": someJSON,
	"photo.report_key": nothing, "photo.person": aCode, "photo.type": nothing, "photo.bytes": aPhoto, "photo.sha256": nothing,
	"mailbox_place.mailbox": nothing, "held.why": nothing, "link_turn.person": aCode,
	"site_change.key": nothing, "site_change.site": nothing, "site_change.file": nothing, "site_change.base": files, "site_change.body": files, "site_change.person": aCode, "site_change.way": nothing,
	"site_change.preview": someJSON, "site_change.standing": nothing, "site_change.decided_by": aCode, "site_change.why": aText,
}

// Forgetting is what became, or would become, of a person's traces.
type Forgetting struct {
	Rows   map[string]int // by table: rows in which something was replaced
	Mails  int            // kept mails that were dropped
	Photos int            // that came from them, and were dropped
}

// Traces gives every name, address and number under which letters went to a
// person.
func (db *DB) Traces(ctx context.Context, code string) (names, addresses []string, err error) {
	rows, err := db.pool.Query(ctx, `
		select distinct coalesce(content->>'to_name', ''), coalesce(content->>'to', '') from letter where target = $1 and channel = 'mail' and content is not null order by 1, 2`, code)
	if err != nil {
		return nil, nil, fmt.Errorf("looking up letters to %s: %w", code, err)
	}
	var name, address string
	_, err = pgx.ForEachRow(rows, []any{&name, &address}, func() error {
		names, addresses = append(names, name), append(addresses, address)
		return nil
	})
	return names, addresses, err
}

// Knows tells whether anything is kept of a person under a code. A word in a
// mail that happens to be the same isn't.
func (db *DB) Knows(ctx context.Context, code string) (known bool, err error) {
	err = db.pool.QueryRow(ctx, `
		select exists (select 1 from report where person = $1) or exists (select 1 from letter where target = $1)
			or exists (select 1 from arrived where $1 in (person, asked)) or exists (select 1 from trail_entry where person = $1)
			or exists (select 1 from owed where person = $1) or exists (select 1 from link_turn where person = $1)`, code).Scan(&known)
	if err != nil {
		return false, fmt.Errorf("looking whether anybody is known as %s: %w", code, Explain(err))
	}
	return known, nil
}

// Versions gives the files of every configuration that was ever accepted, the
// oldest first.
func (db *DB) Versions(ctx context.Context, f func(files map[string][]byte) error) error {
	rows, err := db.pool.Query(ctx, `select files from accepted_config order by id`)
	if err != nil {
		return fmt.Errorf("reading accepted configurations: %w", err)
	}
	var raw []byte
	_, err = pgx.ForEachRow(rows, []any{&raw}, func() error {
		var version map[string][]byte
		if err := json.Unmarshal(raw, &version); err != nil {
			return err
		}
		return f(version)
	})
	if err != nil {
		return fmt.Errorf("reading accepted configurations: %w", err)
	}
	return nil
}

// WithCalls lists the calls that are with a person now, as "bag on at HOME".
func (db *DB) WithCalls(ctx context.Context, code string, season int) ([]string, error) {
	rows, err := db.pool.Query(ctx, `
		select task || ' at ' || site from site_call
		where season = $2 and standing in ('go', 'hurry', 'look first') and state->'asked'->-1->>'person' = $1 order by site, task`, code, season)
	if err != nil {
		return nil, fmt.Errorf("looking up the calls that are with %s: %w", code, err)
	}
	return collectStrings(rows)
}

// errOnlyLooked undoes what was only looked at.
var errOnlyLooked = fmt.Errorf("only looked at")

// Forget replaces a person in every row, in one transaction; where forGood is
// false it only tells what it would do. What was still to be told to them is
// dropped.
func (db *DB) Forget(ctx context.Context, code string, r *pseudonym.Replacer, at time.Time, forGood bool) (done Forgetting, err error) {
	err = db.tx(ctx, func(tx pgx.Tx) error {
		f := &forgetting{tx: tx, r: r, code: code, Forgetting: Forgetting{Rows: map[string]int{}}}
		err := f.all(ctx, at)
		done = f.Forgetting
		if err == nil && !forGood {
			return errOnlyLooked
		}
		return err
	})
	if err != nil && err != errOnlyLooked {
		return done, fmt.Errorf("forgetting %s: %w", code, Explain(err))
	}
	if !forGood {
		return done, nil
	}
	return done, db.shred(ctx, done)
}

// shred clears what rows said before: it stays in a table's file until then.
func (db *DB) shred(ctx context.Context, done Forgetting) error {
	for table := range done.Rows {
		if _, err := db.pool.Exec(ctx, `vacuum (full) `+qualified(table)); err != nil {
			return fmt.Errorf("the person is forgotten, but the space of old rows in %s isn't cleared: %w (run it by hand: vacuum full %[1]s)", table, Explain(err))
		}
	}
	return nil
}

// forgetting is one that is going on.
type forgetting struct {
	Forgetting
	tx   pgx.Tx
	r    *pseudonym.Replacer
	code string
}

func (f *forgetting) all(ctx context.Context, at time.Time) error {
	if _, err := f.tx.Exec(ctx, patient); err != nil {
		return err
	}
	for _, drop := range []string{
		`update owed set dropped_at = $2 where person = $1 and letter_id is null and dropped_at is null`,
		`update trouble set over_at = $2 where subject = 'mail to ' || $1 and over_at is null`,
		`update letter set state = 'dropped', settled_at = $2, taken_by = null where target = $1 and channel = 'mail' and state in ('waiting', 'held', 'taken', 'dotted')`,
	} {
		if _, err := f.tx.Exec(ctx, drop, f.code, at); err != nil {
			return err
		}
	}
	// The trail's book is kept as it is but for this.
	if _, err := f.tx.Exec(ctx, `alter table trail_entry disable trigger trail_entry_kept`); err != nil {
		return err
	}
	list, err := columns(ctx, f.tx)
	if err != nil {
		return err
	}
	tables, _ := byTable(list)
	if err := f.photos(ctx); err != nil {
		return err
	}
	if err := f.jobs(ctx); err != nil {
		return err
	}
	for _, t := range tables {
		touched := slices.DeleteFunc(slices.Clone(t.Columns), func(c string) bool { return how(t.Name, c) == nothing })
		if len(touched) == 0 {
			continue
		}
		if err := f.table(ctx, t.Name, touched); err != nil {
			return fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	_, err = f.tx.Exec(ctx, `alter table trail_entry enable trigger trail_entry_kept`)
	return err
}

// how gives what a column holds; one that holds no text holds nothing.
func how(table, column string) string {
	if h, ok := holds[table+"."+column]; ok {
		return h
	}
	return nothing
}

// table replaces the person in the columns of a table that may hold something.
func (f *forgetting) table(ctx context.Context, table string, names []string) error {
	rows, err := f.tx.Query(ctx, `select ctid::text, `+asText(table, names)+` from `+quoted([]string{table})+` for update`)
	if err != nil {
		return err
	}
	batch := &pgx.Batch{}
	row, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (r []any, err error) { return row.Values() })
	if err != nil {
		return err
	}
	theirs := slices.Index(names, "person") + 1 // of a mail, whose it is
	for _, values := range row {
		var sets []string
		args := []any{values[0]}
		for i, name := range names {
			if values[i+1] == nil {
				continue
			}
			was := values[i+1]
			now, err := f.replace(table, name, was, theirs > 0 && values[theirs] == f.code)
			if err != nil {
				return fmt.Errorf("column %s of row %s: %w", name, values[0], err)
			}
			if !same(was, now) {
				args = append(args, now)
				sets = append(sets, fmt.Sprintf("%s = $%d%s", quoted([]string{name}), len(args), cast(how(table, name))))
			}
		}
		if len(sets) > 0 {
			f.Rows[table]++
			batch.Queue(`update `+quoted([]string{table})+` set `+strings.Join(sets, ", ")+` where ctid = $1::text::tid`, args...)
		}
	}
	if batch.Len() == 0 {
		return nil
	}
	return f.tx.SendBatch(ctx, batch).Close()
}

// asText lists columns to be read: JSON as text, so that it comes as it is.
func asText(table string, names []string) string {
	var list []string
	for _, n := range names {
		q := quoted([]string{n})
		if c := cast(how(table, n)); c != "" {
			q += "::text"
		}
		list = append(list, q)
	}
	return strings.Join(list, ", ")
}

func cast(how string) string {
	if how == someJSON || how == files {
		return "::jsonb"
	}
	return ""
}

func same(a, b any) bool {
	x, ok1 := a.([]byte)
	y, ok2 := b.([]byte)
	if ok1 && ok2 {
		return bytes.Equal(x, y)
	}
	return ok1 == ok2 && a == b
}

// replace gives what a column says afterwards; nil is null.
func (f *forgetting) replace(table, column string, was any, theirs bool) (any, error) {
	text, _ := was.(string)
	switch how(table, column) {
	case aCode:
		return f.r.Is(text), nil
	case aLine:
		return f.r.Line(text), nil
	case aText:
		return f.r.Text(text), nil
	case anID:
		return f.r.Within(text), nil
	case aTarget:
		if channel, ends := strings.CutSuffix(text, " to "+f.code); ends {
			return channel + " to " + f.r.Is(f.code), nil
		}
	case someJSON:
		now, err := f.r.JSON([]byte(text))
		return string(now), err
	case files:
		return f.files(text)
	case aMail:
		packed, _ := was.([]byte)
		raw, err := unpack(packed)
		if err != nil || theirs || f.r.MailMentions(raw) {
			f.Mails++
			return nil, nil
		}
	}
	return was, nil
}

// files replaces the person in the files of a configuration.
func (f *forgetting) files(raw string) (string, error) {
	var version map[string][]byte
	if err := json.Unmarshal([]byte(raw), &version); err != nil {
		return "", err
	}
	changed := false
	for path, content := range version {
		now := f.r.File(path, string(content))
		changed = changed || now != string(content)
		version[path] = []byte(now)
	}
	if !changed {
		return raw, nil
	}
	now, err := json.Marshal(version)
	return string(now), err
}

// DropLetters forgets what letters said that were written before a moment and
// are settled. That they were sent, to whom and when, stays.
func (db *DB) DropLetters(ctx context.Context, before time.Time) error {
	_, err := db.pool.Exec(ctx, `
		update letter set content = null where content is not null and written_at < $1 and state = any($2)`,
		before, []string{string(notice.Sent), string(notice.Refused), string(notice.GivenUp), string(notice.Dropped)})
	if err == nil {
		_, err = db.pool.Exec(ctx, `
			update owed set item = jsonb_build_object('site', site, 'task', task, 'standing', standing, 'days', item->'days')
			where at < $1 and item ? 'link' and (letter_id is not null or dropped_at is not null)`, before)
	}
	if err != nil {
		return fmt.Errorf("dropping old letters: %w", Explain(err))
	}
	return nil
}
