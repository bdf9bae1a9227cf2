package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// openWinds gives the winds of the open years: a source that is read whole every
// day would else write all that it has ever had.
func openWinds(h weather.Haul) (open []weather.Wind) {
	for _, w := range h.Winds {
		if w.Date.Year() >= h.OpenYear {
			open = append(open, w)
		}
	}
	return open
}

// storeWinds writes a station's winds over what is there.
func storeWinds(ctx context.Context, tx pgx.Tx, h weather.Haul, winds []weather.Wind) error {
	if len(winds) == 0 {
		return nil
	}
	cols := windColumnsOf(winds)
	_, err := tx.Exec(ctx, `
		insert into station_wind as o (station, day, mean_ms, max_ms, gust_ms, seen_at)
		select $1, n.day, n.mean_ms, n.max_ms, n.gust_ms, $6
		from unnest($2::date[], $3::float8[], $4::float8[], $5::float8[]) as n (day, mean_ms, max_ms, gust_ms)
		on conflict on constraint station_wind_key do update set mean_ms = excluded.mean_ms, max_ms = excluded.max_ms,
			gust_ms = excluded.gust_ms, seen_at = excluded.seen_at
		where (o.mean_ms, o.max_ms, o.gust_ms) is distinct from (excluded.mean_ms, excluded.max_ms, excluded.gust_ms)`,
		h.Source.Name[len("station:"):], cols.day, cols.mean, cols.max, cols.gust, h.At)
	return err
}

// windColumns is winds as PostgreSQL takes them.
type windColumns struct {
	day             []pgtype.Date
	mean, max, gust []*float64
}

func windColumnsOf(winds []weather.Wind) (c windColumns) {
	for _, w := range winds {
		c.day = append(c.day, date(w.Date))
		c.mean, c.max, c.gust = append(c.mean, celsius(w.MeanMS)), append(c.max, celsius(w.MaxMS)), append(c.gust, celsius(w.GustMS))
	}
	return c
}

// Winds gives a station's winds of some days, sorted.
func (b *Book) Winds(ctx context.Context, station string, over civil.Range) ([]weather.Wind, error) {
	rows, err := b.tx.Query(ctx, `
		select day, coalesce(mean_ms, 'NaN'), coalesce(max_ms, 'NaN'), coalesce(gust_ms, 'NaN')
		from station_wind where station = $1 and day between $2 and $3 order by day`, station, date(over.First), date(over.Last))
	if err != nil {
		return nil, fmt.Errorf("reading winds of station %s: %w", station, err)
	}
	winds, err := pgx.CollectRows(rows, oneWind)
	if err != nil {
		return nil, fmt.Errorf("reading winds of station %s: %w", station, err)
	}
	return winds, nil
}

// OutlookWinds gives the winds of the short-range forecast that Outlook gives.
func (b *Book) OutlookWinds(ctx context.Context, site string, at time.Time) ([]weather.Wind, error) {
	rows, err := b.tx.Query(ctx, `
		select day, coalesce(mean_ms, 'NaN'), coalesce(max_ms, 'NaN'), coalesce(gust_ms, 'NaN') from outlook_wind
		where site = $1 and issued_at = (select max(issued_at) from outlook_day where site = $1 and issued_at <= $2)
		order by day`, site, at)
	if err != nil {
		return nil, fmt.Errorf("reading the winds foreseen for %s: %w", site, err)
	}
	winds, err := pgx.CollectRows(rows, oneWind)
	if err != nil {
		return nil, fmt.Errorf("reading the winds foreseen for %s: %w", site, err)
	}
	return winds, nil
}

func oneWind(row pgx.CollectableRow) (w weather.Wind, err error) {
	var on pgtype.Date
	err = row.Scan(&on, &w.MeanMS, &w.MaxMS, &w.GustMS)
	w.Date = day(on)
	return w, err
}
