package app

import (
	"cmp"
	"context"
	"slices"

	"budcall/internal/config"
	"budcall/internal/postgres"
	"budcall/internal/weather"
)

// Which stations judge each other's days: the nearest ones within so far, by
// our assumption. Further ones share the weather but not its hour; more than a
// handful change no majority.
const (
	neighbourKm   = 100.0
	mostNeighbour = 8
)

// neighbours gives the codes of the stations that a station's days are judged
// by, the nearest first.
func neighbours(all []config.Station, of config.Station) []string {
	here := config.Site{LatDeg: of.LatDeg, LonDeg: of.LonDeg}
	near := slices.DeleteFunc(slices.Clone(all), func(s config.Station) bool {
		return s.Code == of.Code || here.DistanceKm(s) > neighbourKm
	})
	slices.SortFunc(near, func(a, b config.Station) int {
		return cmp.Or(cmp.Compare(here.DistanceKm(a), here.DistanceKm(b)), cmp.Compare(a.Code, b.Code))
	})
	var codes []string
	for _, s := range near[:min(len(near), mostNeighbour)] {
		codes = append(codes, s.Code)
	}
	return codes
}

// stored gives the days of a station in the years first..last that the memory
// holds.
func (a *App) stored(ctx context.Context, station string, first, last int) (days []weather.Day, err error) {
	err = a.db.Read(ctx, func(b *postgres.Book) error {
		days, err = b.History(ctx, station, first, last)
		return err
	})
	return days, err
}
