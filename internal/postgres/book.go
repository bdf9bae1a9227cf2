package postgres

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Book is the memory within one transaction: what a site's day is decided
// from, and where the decision goes.
type Book struct {
	db    *DB
	tx    pgx.Tx
	marks map[string]string // of the past, as first asked for; see past.go
}

// Within settles a piece of a run: f reads and writes through a Book, and all
// of it is committed together with the mark that the piece is done. The sites
// are locked, in order, so that two pieces never decide on one site at once.
func (db *DB) Within(ctx context.Context, piece int64, sites []string, f func(*Book, Piece) (note string, err error)) error {
	return db.settle(ctx, piece, func(tx pgx.Tx, p Piece) (string, error) {
		for _, s := range slices.Sorted(slices.Values(sites)) {
			if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock($1, hashtext($2))`, int32(siteLock), s); err != nil {
				return "", err
			}
		}
		return f(&Book{db: db, tx: tx}, p)
	})
}

// siteLock is the class of the advisory locks of sites.
const siteLock = 0x62756473

// Read gives a Book to read from, in a transaction that stores nothing.
func (db *DB) Read(ctx context.Context, f func(*Book) error) error {
	return pgx.BeginTxFunc(ctx, db.pool, pgx.TxOptions{AccessMode: pgx.ReadOnly, IsoLevel: pgx.RepeatableRead}, func(tx pgx.Tx) error {
		return f(&Book{db: db, tx: tx})
	})
}

// Days gives a station's rows of the days from..to, sorted, marks included.
func (b *Book) Days(ctx context.Context, station string, from, to civil.Date) ([]weather.Day, error) {
	rows, err := b.tx.Query(ctx, `
		select `+dayRow+` from station_day where station = $1 and day between $2 and $3 order by day`, station, date(from), date(to))
	if err != nil {
		return nil, fmt.Errorf("reading days of station %s: %w", station, err)
	}
	days, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (d weather.Day, err error) {
		var on pgtype.Date
		var meanOf string
		err = row.Scan(&on, &d.MinC, &d.MaxC, &d.MeanC, &d.Mark, &d.Provisional, &meanOf)
		d.Date, d.MeanOf = day(on), weather.MeanOfWords(meanOf)
		return d, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading days of station %s: %w", station, err)
	}
	return days, nil
}

// Outlook gives a site's newest short-range forecast that was issued by at,
// and when it was issued; none gives no days.
func (b *Book) Outlook(ctx context.Context, site string, at time.Time) ([]weather.Day, time.Time, error) {
	rows, err := b.tx.Query(ctx, `
		select issued_at, day, coalesce(min_c, 'NaN'), coalesce(max_c, 'NaN'), coalesce(mean_c, 'NaN') from outlook_day
		where site = $1 and issued_at = (select max(issued_at) from outlook_day where site = $1 and issued_at <= $2)
		order by day`, site, at)
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("reading the outlook of %s: %w", site, err)
	}
	var issued time.Time
	days, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (d weather.Day, err error) {
		var on pgtype.Date
		err = row.Scan(&issued, &on, &d.MinC, &d.MaxC, &d.MeanC)
		d.Date = day(on)
		return d, err
	})
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("reading the outlook of %s: %w", site, err)
	}
	return days, issued.UTC(), nil
}

// Reports gives a season's reports and answers of a site, in the order in
// which they came.
func (b *Book) Reports(ctx context.Context, site string, year int) ([]trail.Report, error) {
	rows, err := b.tx.Query(ctx, `
		select id, person, site, task, kind, tree, bbch, selfing, control, day, promised, at, way, count, until, note
		from report where site = $1 and season = $2 order by id`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading the reports of %s: %w", site, err)
	}
	reports, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (r trail.Report, err error) {
		var on, promised, until pgtype.Date
		err = row.Scan(&r.ID, &r.Person, &r.Site, &r.Task, &r.Kind, &r.Tree, &r.BBCH, &r.Selfing, &r.Control, &on, &promised, &r.At, &r.Way,
			&r.Count, &until, &r.Note)
		r.Day, r.On, r.Until, r.At = day(on), day(promised), day(until), r.At.UTC()
		return r, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the reports of %s: %w", site, err)
	}
	return reports, nil
}

// Calls gives the calls of a site's season as they are stored.
func (b *Book) Calls(ctx context.Context, site string, year int) (map[call.Task]season.State, error) {
	rows, err := b.tx.Query(ctx, `select task, state from site_call where site = $1 and season = $2`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading the calls of %s: %w", site, err)
	}
	calls := map[call.Task]season.State{}
	var task call.Task
	var raw json.RawMessage
	if _, err := pgx.ForEachRow(rows, []any{&task, &raw}, func() error {
		var s season.State
		if err := json.Unmarshal(raw, &s); err != nil {
			return err
		}
		calls[task] = s
		return nil
	}); err != nil {
		return nil, fmt.Errorf("reading the calls of %s: %w", site, err)
	}
	return calls, nil
}

// Returned tells, for each call of a site's season, when the newest mail about
// it was refused for good or given up: it didn't arrive, so it is no answer.
// It comes back after it was written, if only by a microsecond where simulated
// time stands still meanwhile.
func (b *Book) Returned(ctx context.Context, site string, year int) (map[call.Task]time.Time, error) {
	rows, err := b.tx.Query(ctx, `
		select o.task, greatest(l.settled_at, l.written_at + interval '1 microsecond') from letter l join (
			select distinct on (task) task, letter_id from owed where site = $1 and season = $2 order by task, id desc
		) o on l.id = o.letter_id where l.state = 'refused'`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading refused mails of %s: %w", site, err)
	}
	returned := map[call.Task]time.Time{}
	var task call.Task
	var at time.Time
	if _, err := pgx.ForEachRow(rows, []any{&task, &at}, func() error {
		returned[task] = at.UTC()
		return nil
	}); err != nil {
		return nil, fmt.Errorf("reading refused mails of %s: %w", site, err)
	}
	return returned, nil
}
