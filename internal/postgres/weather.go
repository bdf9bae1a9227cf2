package postgres

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/weather"
)

// Source looks a source up; an unknown one is empty.
func (db *DB) Source(ctx context.Context, name string) (weather.Source, error) {
	s := weather.Source{Name: name}
	var newest pgtype.Date
	var expires *time.Time
	err := db.pool.QueryRow(ctx, `
		select class, sha256, newest, expires_at, last_modified, etag, failures from source where source = $1`, name).
		Scan(&s.Class, &s.SHA256, &newest, &expires, &s.LastModified, &s.ETag, &s.Failures)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return s, fmt.Errorf("looking up the source %s: %w", name, err)
	}
	s.Newest = day(newest)
	if expires != nil {
		s.Expires = *expires
	}
	return s, nil
}

// StoreHaul settles the piece of a run with what its source brought: raw copy,
// rejects and days in one transaction.
func (db *DB) StoreHaul(ctx context.Context, piece int64, h weather.Haul) error {
	err := db.settle(ctx, piece, func(tx pgx.Tx, _ Piece) (string, error) {
		if err := storeSource(ctx, tx, h); err != nil || h.Error != "" {
			return h.Error, err
		}
		raw, err := storeRaw(ctx, tx, h)
		if err != nil {
			return "", err
		}
		if h.Outlook != "" {
			return fmt.Sprintf("%d days ahead", len(h.Days)), storeOutlook(ctx, tx, h)
		}
		return fmt.Sprintf("%d days, %d lines rejected", len(h.Days), len(h.Rejects)), storeDays(ctx, tx, h, raw)
	})
	if err != nil {
		return fmt.Errorf("storing what %s brought: %w", h.Source.Name, err)
	}
	return nil
}

func storeSource(ctx context.Context, tx pgx.Tx, h weather.Haul) error {
	s := h.Source
	var answered *time.Time
	if h.Error == "" {
		answered = &h.At
	}
	_, err := tx.Exec(ctx, `
		insert into source as s (source, class, tried_at, answered_at, newest, error, retry_at, failures, sha256, expires_at, last_modified, etag)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
		on conflict (source) do update set class = excluded.class, tried_at = excluded.tried_at,
			answered_at = coalesce(excluded.answered_at, s.answered_at), newest = greatest(s.newest, excluded.newest),
			error = excluded.error, retry_at = excluded.retry_at, failures = excluded.failures, sha256 = excluded.sha256,
			expires_at = excluded.expires_at, last_modified = excluded.last_modified, etag = excluded.etag`,
		s.Name, s.Class, h.At, answered, date(s.Newest), h.Error, instant(h.RetryAt), s.Failures, s.SHA256,
		instant(s.Expires), s.LastModified, s.ETag)
	return err
}

func storeRaw(ctx context.Context, tx pgx.Tx, h weather.Haul) (id *int64, err error) {
	if len(h.Body) == 0 {
		return nil, nil
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write(h.Body); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	if err := tx.QueryRow(ctx, `insert into raw_copy (source, fetched_at, sha256, body) values ($1, $2, $3, $4) returning id`,
		h.Source.Name, h.At, h.Source.SHA256, packed.Bytes()).Scan(&id); err != nil {
		return nil, err
	}
	if err := forgetRaw(ctx, tx, h); err != nil {
		return nil, err
	}
	rows := make([][]any, 0, len(h.Rejects))
	for _, r := range h.Rejects {
		rows = append(rows, []any{*id, r.Line, r.Reason, r.Text})
	}
	_, err = tx.CopyFrom(ctx, pgx.Identifier{"reject"}, []string{"raw_id", "line", "reason", "text"}, pgx.CopyFromRows(rows))
	return id, err
}

// forgetRaw takes away the raw copies whose time is over; the newest stays,
// however old, for what it said holds still.
func forgetRaw(ctx context.Context, tx pgx.Tx, h weather.Haul) error {
	if h.ForgetRawBefore.IsZero() {
		return nil
	}
	_, err := tx.Exec(ctx, `
		delete from raw_copy where source = $1 and fetched_at < $2
		and id < (select max(id) from raw_copy where source = $1)`, h.Source.Name, h.ForgetRawBefore)
	return err
}

// storeDays packs past years and upserts the open ones by (station, day); a
// corrected day supersedes, and what it said before is kept.
func storeDays(ctx context.Context, tx pgx.Tx, h weather.Haul, raw *int64) error {
	station := h.Source.Name[len("station:"):]
	years := map[int][]weather.Day{}
	var open []weather.Day
	for _, d := range h.Days {
		if y := d.Date.Year(); y < h.OpenYear && !d.Mark.ByComparison() { // what may be taken back stays a row
			years[y] = append(years[y], d)
		} else {
			open = append(open, d)
		}
	}
	for y, days := range years {
		if err := storeYear(ctx, tx, station, y, days); err != nil {
			return err
		}
		if err := closeRows(ctx, tx, station, days, h.At); err != nil {
			return err
		}
	}
	return upsertDays(ctx, tx, station, open, h.At, raw)
}

// storeYear packs days into their year, over what is there of it already.
func storeYear(ctx context.Context, tx pgx.Tx, station string, year int, days []weather.Day) error {
	var have []byte
	err := tx.QueryRow(ctx, `select days from station_year where station = $1 and year = $2 for update`, station, year).Scan(&have)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return err
	}
	if err == nil {
		before, err := unpackYear(year, have)
		if err != nil {
			return fmt.Errorf("station %s: %w", station, err)
		}
		days = append(before, days...) // the later one of a day wins
	}
	packed := packYear(year, days)
	if bytes.Equal(packed, have) {
		return nil
	}
	_, err = tx.Exec(ctx, `
		insert into station_year (station, year, days) values ($1, $2, $3)
		on conflict on constraint station_year_key do update set days = excluded.days`, station, year, packed)
	return err
}

// closeRows takes away the rows of days that are packed by now, since a row
// would outlive a correction; what a row said otherwise is kept.
func closeRows(ctx context.Context, tx pgx.Tx, station string, days []weather.Day, at time.Time) error {
	usable := slices.DeleteFunc(slices.Clone(days), func(d weather.Day) bool { return d.Mark != weather.Usable })
	cols := columnsOf(usable)
	_, err := tx.Exec(ctx, `
		with n as (select * from unnest($2::date[], $3::float8[], $4::float8[], $5::float8[]) as n (day, min_c, max_c, mean_c)),
		gone as (delete from station_day o using n where o.station = $1 and o.day = n.day returning o.*)
		insert into station_day_before (station, day, min_c, max_c, mean_c, mark, seen_at, superseded_at)
		select o.station, o.day, o.min_c, o.max_c, o.mean_c, o.mark, o.seen_at, $6
		from gone o join n on n.day = o.day where (o.min_c, o.max_c, o.mean_c, o.mark) is distinct from (n.min_c, n.max_c, n.mean_c, '')`,
		station, cols.day, cols.min, cols.max, cols.mean, at)
	return err
}

// upsertDays writes days over what is there. What looks wrong never takes the
// place of another reading that doesn't: it is kept in the raw copy.
func upsertDays(ctx context.Context, tx pgx.Tx, station string, days []weather.Day, at time.Time, raw *int64) error {
	if len(days) == 0 {
		return nil
	}
	cols := columnsOf(days)
	if _, err := tx.Exec(ctx, `
		insert into station_day_before (station, day, min_c, max_c, mean_c, mark, seen_at, superseded_at)
		select o.station, o.day, o.min_c, o.max_c, o.mean_c, o.mark, o.seen_at, $7
		from station_day o join unnest($2::date[], $3::float8[], $4::float8[], $5::float8[], $6::text[]) as n (day, min_c, max_c, mean_c, mark) on n.day = o.day
		where o.station = $1 and (o.min_c, o.max_c, o.mean_c, o.mark) is distinct from (n.min_c, n.max_c, n.mean_c, n.mark)
			and (o.mark <> '' or n.mark = '' or (o.min_c, o.max_c, o.mean_c) is not distinct from (n.min_c, n.max_c, n.mean_c))`,
		station, cols.day, cols.min, cols.max, cols.mean, cols.mark, at); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `
		insert into station_day as o (station, day, min_c, max_c, mean_c, mark, raw_id, seen_at)
		select $1, n.day, n.min_c, n.max_c, n.mean_c, n.mark, $8, $7
		from unnest($2::date[], $3::float8[], $4::float8[], $5::float8[], $6::text[]) as n (day, min_c, max_c, mean_c, mark)
		on conflict on constraint station_day_key do update set min_c = excluded.min_c, max_c = excluded.max_c,
			mean_c = excluded.mean_c, mark = excluded.mark, raw_id = excluded.raw_id, seen_at = excluded.seen_at
		where (o.min_c, o.max_c, o.mean_c, o.mark) is distinct from (excluded.min_c, excluded.max_c, excluded.mean_c, excluded.mark)
			and (o.mark <> '' or excluded.mark = '' or (o.min_c, o.max_c, o.mean_c) is not distinct from (excluded.min_c, excluded.max_c, excluded.mean_c))`,
		station, cols.day, cols.min, cols.max, cols.mean, cols.mark, at, raw)
	return err
}

type dayColumns struct {
	day            []pgtype.Date
	min, max, mean []*float64
	mark           []string
}

func columnsOf(days []weather.Day) dayColumns {
	var c dayColumns
	for _, d := range days {
		c.day = append(c.day, date(d.Date))
		c.min, c.max, c.mean = append(c.min, celsius(d.MinC)), append(c.max, celsius(d.MaxC)), append(c.mean, celsius(d.MeanC))
		c.mark = append(c.mark, string(d.Mark))
	}
	return c
}

// celsius turns a temperature into what PostgreSQL takes; NaN is null.
func celsius(c float64) *float64 {
	if math.IsNaN(c) {
		return nil
	}
	return &c
}

func storeOutlook(ctx context.Context, tx pgx.Tx, h weather.Haul) error {
	cols := columnsOf(h.Days)
	_, err := tx.Exec(ctx, `
		insert into outlook_day (site, issued_at, day, min_c, max_c, mean_c)
		select $1, $2, n.day, n.min_c, n.max_c, n.mean_c
		from unnest($3::date[], $4::float8[], $5::float8[], $6::float8[]) as n (day, min_c, max_c, mean_c)
		on conflict on constraint outlook_day_key do nothing`,
		h.Outlook, h.IssuedAt, cols.day, cols.min, cols.max, cols.mean)
	return err
}

// DueSources lists the sources whose asking failed and is due again at at.
func (db *DB) DueSources(ctx context.Context, at time.Time) ([]string, error) {
	rows, err := db.pool.Query(ctx, `select source from source where retry_at <= $1 order by source`, at)
	if err != nil {
		return nil, fmt.Errorf("looking for sources to ask again: %w", err)
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}
