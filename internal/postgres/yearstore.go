package postgres

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// storeYears packs days of past years, the years in order, so that two who
// store never wait for each other.
func storeYears(ctx context.Context, tx pgx.Tx, station string, years map[int][]weather.Day, at time.Time) error {
	for _, y := range slices.Sorted(maps.Keys(years)) {
		if err := storeYear(ctx, tx, stationYear{station, y}, years[y], at); err != nil {
			return err
		}
		if err := closeRows(ctx, tx, station, years[y], at); err != nil {
			return err
		}
	}
	return nil
}

// stationYear is the key of a packed year.
type stationYear struct {
	station string
	year    int
}

// storeYear packs days into their year, over what is there of it already; what
// a corrected day said before is kept.
func storeYear(ctx context.Context, tx pgx.Tx, key stationYear, days []weather.Day, at time.Time) error {
	var have []byte
	var storedAt time.Time
	err := tx.QueryRow(ctx, `select days, stored_at from station_year where station = $1 and year = $2 for update`, key.station, key.year).Scan(&have, &storedAt)
	if err != nil && !errors.Is(err, pgx.ErrNoRows) {
		return err
	}
	var before []weather.Day
	if err == nil {
		if before, err = unpackYear(key.year, have); err != nil {
			return fmt.Errorf("station %s: %w", key.station, err)
		}
	}
	packed := packYear(key.year, slices.Concat(before, days)) // the later one of a day wins
	if bytes.Equal(packed, have) {
		return nil
	}
	if err := keepCorrected(ctx, tx, key, corrected{before, packed, storedAt, at}); err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `
		insert into station_year (station, year, days, stored_at) values ($1, $2, $3, $4)
		on conflict on constraint station_year_key do update set days = excluded.days, stored_at = excluded.stored_at`, key.station, key.year, packed, at)
	return err
}

// corrected is a packed year before and after, and when each was written.
type corrected struct {
	before            []weather.Day
	after             []byte
	seenAt, correctAt time.Time
}

// keepCorrected keeps what the days said whose values change.
func keepCorrected(ctx context.Context, tx pgx.Tx, key stationYear, c corrected) error {
	after, err := unpackYear(key.year, c.after)
	if err != nil {
		return err
	}
	now := map[civil.Date]weather.Day{}
	for _, d := range after {
		now[d.Date] = d
	}
	var gone []weather.Day
	for _, d := range c.before {
		if n, ok := now[d.Date]; !ok || packC(n.MinC) != packC(d.MinC) || packC(n.MaxC) != packC(d.MaxC) || packC(n.MeanC) != packC(d.MeanC) {
			gone = append(gone, d)
		}
	}
	if len(gone) == 0 {
		return nil
	}
	_, err = tx.Exec(ctx, `
		insert into station_day_before (station, day, min_c, max_c, mean_c, mark, provisional, mean_of, seen_at, superseded_at)
		select $1, n.day, n.min_c, n.max_c, n.mean_c, n.mark, n.provisional, n.mean_of, $10, $9 from `+newDays,
		append(columnsOf(gone).with(key.station, c.correctAt), c.seenAt)...)
	return err
}
