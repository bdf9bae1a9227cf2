package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// Foretold gives the daily means of a site's forecasts that were issued in a
// range of days, of each of its days (in the site's zone) the last one issued,
// for up to 10 days ahead. What came isn't filled in.
func (b *Book) Foretold(ctx context.Context, site config.Site, issued civil.Range) ([]ensemble.Came, error) {
	rows, err := b.tx.Query(ctx, `
		select distinct on (on_day, day) (issued_at at time zone $2)::date as on_day, day,
			coalesce(min_c, 'NaN'), coalesce(max_c, 'NaN'), coalesce(mean_c, 'NaN')
		from outlook_day
		where site = $1 and (issued_at at time zone $2)::date between $3 and $4
			and day between (issued_at at time zone $2)::date and (issued_at at time zone $2)::date + 9
		order by on_day, day, issued_at desc`,
		site.Code, site.Zone.String(), date(issued.First), date(issued.Last))
	if err != nil {
		return nil, fmt.Errorf("reading the past outlooks of %s: %w", site.Code, err)
	}
	came, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (c ensemble.Came, err error) {
		var on, of pgtype.Date
		var d weather.Day
		err = row.Scan(&on, &of, &d.MinC, &d.MaxC, &d.MeanC)
		c.Issued, c.Date = day(on), day(of)
		c.ForecastC, _, _ = d.Mean()
		return c, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the past outlooks of %s: %w", site.Code, err)
	}
	return came, nil
}
