package app

import (
	"cmp"
	"context"
	"slices"

	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/weather"
)

// neighbours gives the codes of the stations that a station's days are judged
// by, the nearest first.
func neighbours(p *config.Programme, of config.Station) []string {
	here := config.Site{LatDeg: of.LatDeg, LonDeg: of.LonDeg}
	near := slices.DeleteFunc(slices.Clone(p.Stations), func(s config.Station) bool {
		return s.Code == of.Code || here.DistanceKm(s) > p.Neighbours.WithinKm
	})
	slices.SortFunc(near, func(a, b config.Station) int {
		return cmp.Or(cmp.Compare(here.DistanceKm(a), here.DistanceKm(b)), cmp.Compare(a.Code, b.Code))
	})
	var codes []string
	for _, s := range near[:min(len(near), p.Neighbours.Most)] {
		codes = append(codes, s.Code)
	}
	return codes
}

// stored gives the days of a station in the years first..last that a memory
// holds.
func stored(db *postgres.DB) func(ctx context.Context, station string, first, last int) ([]weather.Day, error) {
	return func(ctx context.Context, station string, first, last int) (days []weather.Day, err error) {
		err = db.Read(ctx, func(b *postgres.Book) error {
			days, err = b.History(ctx, station, first, last)
			return err
		})
		return days, err
	}
}
