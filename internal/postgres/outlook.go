package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"budcall/internal/weather"
)

// storeOutlook keeps a site's short-range forecast as it was issued.
func storeOutlook(ctx context.Context, tx pgx.Tx, h weather.Haul) error {
	cols := columnsOf(h.Days)
	if _, err := tx.Exec(ctx, `
		insert into outlook_day (site, issued_at, day, min_c, max_c, mean_c)
		select $1, $2, n.day, n.min_c, n.max_c, n.mean_c
		from unnest($3::date[], $4::float8[], $5::float8[], $6::float8[]) as n (day, min_c, max_c, mean_c)
		on conflict on constraint outlook_day_key do nothing`,
		h.Outlook, h.IssuedAt, cols.day, cols.min, cols.max, cols.mean); err != nil {
		return err
	}
	winds := windColumnsOf(h.Winds)
	_, err := tx.Exec(ctx, `
		insert into outlook_wind (site, issued_at, day, mean_ms, max_ms, gust_ms)
		select $1, $2, n.day, n.mean_ms, n.max_ms, n.gust_ms
		from unnest($3::date[], $4::float8[], $5::float8[], $6::float8[]) as n (day, mean_ms, max_ms, gust_ms)
		on conflict on constraint outlook_wind_key do nothing`,
		h.Outlook, h.IssuedAt, winds.day, winds.mean, winds.max, winds.gust)
	return err
}
