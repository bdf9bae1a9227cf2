package app

import (
	"context"
	"time"

	"budcall/internal/civil"
	"budcall/internal/postgres"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// Readings gives the stored days of a station in the years first..last, both
// included, sorted.
func (b *Beside) Readings(ctx context.Context, station string, first, last int) (days []weather.Day, err error) {
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		days, err = book.History(ctx, station, first, last)
		return err
	})
	return days, err
}

// Winds gives the stored winds of a station in the years first..last, both
// included, sorted.
func (b *Beside) Winds(ctx context.Context, station string, first, last int) (winds []weather.Wind, err error) {
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		winds, err = book.Winds(ctx, station, civil.Range{First: civil.Of(first, 1, 1), Last: civil.Of(last, 12, 31)})
		return err
	})
	return winds, err
}

// Outlook gives a site's newest short-range forecast that was issued by at,
// and when it was issued; none gives no days.
func (b *Beside) Outlook(ctx context.Context, site string, at time.Time) (days []weather.Day, issued time.Time, err error) {
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		days, issued, err = book.Outlook(ctx, site, at)
		return err
	})
	return days, issued, err
}

// Reported gives what was reported of sites in the seasons first..last, both
// included: by season and site, and within these in the order in which it came.
func (b *Beside) Reported(ctx context.Context, sites []string, first, last int) (all []trail.Report, err error) {
	err = b.db.Read(ctx, func(book *postgres.Book) error {
		for year := first; year <= last; year++ {
			for _, site := range sites {
				of, err := book.Reports(ctx, site, year)
				if err != nil {
					return err
				}
				all = append(all, of...)
			}
		}
		return nil
	})
	return all, err
}
