package postgres

import (
	"context"
	"math"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/weather"
)

// storeDays packs past years and upserts the open ones by (station, day); a
// corrected day supersedes, and what it said before is kept.
func storeDays(ctx context.Context, tx pgx.Tx, h weather.Haul, raw *int64) error {
	station := h.Source.Name[len("station:"):]
	years, open := h.Settled()
	if err := storeYears(ctx, tx, station, years, h.At); err != nil {
		return err
	}
	return upsertDays(ctx, tx, station, open, h.At, raw)
}

// newDays is the parameters of upsertDays and closeRows as rows called n.
const newDays = `unnest($2::date[], $3::float8[], $4::float8[], $5::float8[], $6::text[], $7::boolean[], $8::text[])
	as n (day, min_c, max_c, mean_c, mark, provisional, mean_of)`

// closeRows takes away the rows of days that are packed by now, since a row
// would outlive a correction; what a row said otherwise is kept. A final day
// that isn't used leaves the row of another reading, but for a provisional one.
func closeRows(ctx context.Context, tx pgx.Tx, station string, days []weather.Day, at time.Time) error {
	_, err := tx.Exec(ctx, `
		with n as (select * from `+newDays+`),
		gone as (delete from station_day o using n where o.station = $1 and o.day = n.day and (n.mark = '' or o.provisional) returning o.*)
		insert into station_day_before (station, day, min_c, max_c, mean_c, mark, provisional, mean_of, seen_at, superseded_at)
		select o.station, o.day, o.min_c, o.max_c, o.mean_c, o.mark, o.provisional, o.mean_of, o.seen_at, $9
		from gone o join n on n.day = o.day where (o.min_c, o.max_c, o.mean_c, o.mark) is distinct from (n.min_c, n.max_c, n.mean_c, n.mark)`,
		columnsOf(days).with(station, at)...)
	return err
}

// takesThePlace is when a new day n is written over a stored one o. What looks
// wrong never takes the place of another reading that doesn't (it is kept in
// the raw copy), nor what is provisional that of what is final.
const takesThePlace = `(o.provisional or not n.provisional)
	and (o.mark <> '' or o.provisional or n.mark = '' or (o.min_c, o.max_c, o.mean_c) is not distinct from (n.min_c, n.max_c, n.mean_c))`

// upsertDays writes days over what is there, and keeps what it said.
func upsertDays(ctx context.Context, tx pgx.Tx, station string, days []weather.Day, at time.Time, raw *int64) error {
	if len(days) == 0 {
		return nil
	}
	args := columnsOf(days).with(station, at)
	if _, err := tx.Exec(ctx, `
		insert into station_day_before (station, day, min_c, max_c, mean_c, mark, provisional, mean_of, seen_at, superseded_at)
		select o.station, o.day, o.min_c, o.max_c, o.mean_c, o.mark, o.provisional, o.mean_of, o.seen_at, $9
		from station_day o join `+newDays+` on n.day = o.day
		where o.station = $1 and (o.min_c, o.max_c, o.mean_c, o.mark) is distinct from (n.min_c, n.max_c, n.mean_c, n.mark) and `+takesThePlace, args...); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `
		insert into station_day as o (station, day, min_c, max_c, mean_c, mark, provisional, mean_of, raw_id, seen_at)
		select $1, n.day, n.min_c, n.max_c, n.mean_c, n.mark, n.provisional, n.mean_of, $10, $9 from `+newDays+`
		on conflict on constraint station_day_key do update set min_c = excluded.min_c, max_c = excluded.max_c, mean_c = excluded.mean_c,
			mark = excluded.mark, provisional = excluded.provisional, mean_of = excluded.mean_of, raw_id = excluded.raw_id, seen_at = excluded.seen_at
		where (o.min_c, o.max_c, o.mean_c, o.mark, o.provisional, o.mean_of)
			is distinct from (excluded.min_c, excluded.max_c, excluded.mean_c, excluded.mark, excluded.provisional, excluded.mean_of)
			and `+strings.ReplaceAll(takesThePlace, "n.", "excluded."), append(args, raw)...)
	return err
}

type dayColumns struct {
	day            []pgtype.Date
	min, max, mean []*float64
	mark           []string
	provisional    []bool
	meanOf         []string
}

func columnsOf(days []weather.Day) dayColumns {
	var c dayColumns
	for _, d := range days {
		c.day = append(c.day, date(d.Date))
		c.min, c.max, c.mean = append(c.min, celsius(d.MinC)), append(c.max, celsius(d.MaxC)), append(c.mean, celsius(d.MeanC))
		c.mark = append(c.mark, string(d.Mark))
		c.provisional, c.meanOf = append(c.provisional, d.Provisional), append(c.meanOf, d.MeanOf.String())
	}
	return c
}

// with gives the parameters that newDays wants, between a station and a moment.
func (c dayColumns) with(station string, at time.Time) []any {
	return []any{station, c.day, c.min, c.max, c.mean, c.mark, c.provisional, c.meanOf, at}
}

// celsius turns a temperature into what PostgreSQL takes; NaN is null.
func celsius(c float64) *float64 {
	if math.IsNaN(c) {
		return nil
	}
	return &c
}
