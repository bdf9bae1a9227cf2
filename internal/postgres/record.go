package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

// NotIssued keeps that a site couldn't be forecast on a day although its block
// was carried on.
func (b *Book) NotIssued(ctx context.Context, site string, on civil.Date) error {
	if _, err := b.tx.Exec(ctx, `insert into not_issued (site, issued_on) values ($1, $2) on conflict do nothing`, site, date(on)); err != nil {
		return fmt.Errorf("marking that %s has no forecast on %s: %w", site, on, err)
	}
	return nil
}

// Record gives everything that was issued for a site in a season: the changed
// forecasts, and by the marks of the block's runs the days on which the rest
// stood unchanged. Days are the site's own.
func (b *Book) Record(ctx context.Context, site string, season int, zone *time.Location) (stage.Record, error) {
	issued, err := b.Issued(ctx, site, season)
	if err != nil {
		return stage.Record{}, err
	}
	r := stage.Record{Marked: map[civil.Date]bool{}}
	for _, i := range issued {
		r.Issued = append(r.Issued, stage.Issued{Code: i.Code, On: i.On, Days: i.Days})
		r.Marked[i.On] = true
	}
	rows, err := b.tx.Query(ctx, `
		select r.started_at from work w join run r on r.id = w.run_id
		where w.phase = 'advance' and w.done_at is not null and $1 = any (string_to_array(w.key, ','))
		and r.started_at >= $2 and r.started_at < $3`,
		site, civil.Of(season, 1, 1).In(zone, 0, 0), civil.Of(season+1, 1, 1).In(zone, 0, 0))
	if err != nil {
		return r, fmt.Errorf("reading the marks of %s: %w", site, err)
	}
	at, err := pgx.CollectRows(rows, pgx.RowTo[time.Time])
	if err != nil {
		return r, fmt.Errorf("reading the marks of %s: %w", site, err)
	}
	for _, t := range at {
		r.Marked[civil.At(t.In(zone))] = true
	}
	return r, b.unmark(ctx, r, site, season)
}

// unmark takes out the days on which the site had no forecast, unless a later
// run of the same day made one.
func (b *Book) unmark(ctx context.Context, r stage.Record, site string, season int) error {
	rows, err := b.tx.Query(ctx, `
		select issued_on from not_issued n where site = $1 and issued_on >= $2 and issued_on < $3
		and not exists (select 1 from issued i where i.site = n.site and i.issued_on = n.issued_on)`,
		site, date(civil.Of(season, 1, 1)), date(civil.Of(season+1, 1, 1)))
	if err != nil {
		return fmt.Errorf("reading the days without a forecast of %s: %w", site, err)
	}
	days, err := pgx.CollectRows(rows, pgx.RowTo[pgtype.Date])
	if err != nil {
		return fmt.Errorf("reading the days without a forecast of %s: %w", site, err)
	}
	for _, d := range days {
		delete(r.Marked, day(d))
	}
	return nil
}

// IssuedOn gives a stage's forecast as it was issued for a site on a day;
// false where none was.
func (b *Book) IssuedOn(ctx context.Context, site string, zone *time.Location, code stage.BBCH, on civil.Date) (stage.Issued, bool, error) {
	r, err := b.Record(ctx, site, on.Year(), zone)
	if err != nil {
		return stage.Issued{}, false, err
	}
	i, ok := r.On(code, on)
	return i, ok, nil
}
