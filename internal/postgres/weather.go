package postgres

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/weather"
)

// Source looks a source up; an unknown one is empty.
func (db *DB) Source(ctx context.Context, name string) (weather.Source, error) {
	s := weather.Source{Name: name}
	var newest pgtype.Date
	var expires, renewed *time.Time
	err := db.pool.QueryRow(ctx, `
		select class, sha256, newest, expires_at, last_modified, etag, failures, renewed_at from source where source = $1`, name).
		Scan(&s.Class, &s.SHA256, &newest, &expires, &s.LastModified, &s.ETag, &s.Failures, &renewed)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return s, fmt.Errorf("looking up the source %s: %w", name, err)
	}
	s.Newest = day(newest)
	if expires != nil {
		s.Expires = *expires
	}
	if renewed != nil {
		s.RenewedAt = renewed.UTC()
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
		if err := storeWinds(ctx, tx, h, openWinds(h)); err != nil {
			return "", err
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
		insert into source as s (source, class, tried_at, answered_at, newest, error, retry_at, failures, sha256, expires_at, last_modified, etag, renewed_at)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)
		on conflict (source) do update set class = excluded.class, tried_at = excluded.tried_at,
			answered_at = coalesce(excluded.answered_at, s.answered_at), newest = greatest(s.newest, excluded.newest),
			error = excluded.error, retry_at = excluded.retry_at, failures = excluded.failures, sha256 = excluded.sha256,
			expires_at = excluded.expires_at, last_modified = excluded.last_modified, etag = excluded.etag, renewed_at = excluded.renewed_at`,
		s.Name, s.Class, h.At, answered, date(s.Newest), h.Error, instant(h.RetryAt), s.Failures, s.SHA256,
		instant(s.Expires), s.LastModified, s.ETag, instant(s.RenewedAt))
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

// DueSources lists the sources whose asking failed and is due again at at.
func (db *DB) DueSources(ctx context.Context, at time.Time) ([]string, error) {
	rows, err := db.pool.Query(ctx, `select source from source where retry_at <= $1 order by source`, at)
	if err != nil {
		return nil, fmt.Errorf("looking for sources to ask again: %w", err)
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}
