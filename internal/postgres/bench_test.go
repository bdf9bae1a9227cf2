package postgres

import (
	"fmt"
	"math"
	"runtime"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// The history of 1,000 sites, one station each, of 30 years: at most 0.2 s.
const benchSites, benchYears = 1000, 30

// inventedPast stores so many stations' past, each day with its three values,
// as a back-fill does: station by station.
func inventedPast(b *testing.B, db *DB) (stations []string) {
	b.Helper()
	var rows [][]any
	for s := range benchSites {
		stations = append(stations, fmt.Sprintf("S%04d", s))
		for year := 2001; year < 2001+benchYears; year++ {
			var days []weather.Day
			for d := civil.Of(year, 1, 1); d <= civil.Of(year, 12, 31); d++ {
				mean := math.Round(50-120*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365)+float64((int(d)*7919+s*104729)%97)) / 10
				days = append(days, weather.Day{Date: d, MinC: mean - 4, MaxC: mean + 5, MeanC: mean, MeanOf: weather.MeanPublished})
			}
			rows = append(rows, []any{stations[s], int16(year), packYear(year, days)})
		}
		if len(rows) > 3000 || s == benchSites-1 {
			_, err := db.pool.CopyFrom(b.Context(), pgx.Identifier{"station_year"}, []string{"station", "year", "days"}, pgx.CopyFromRows(rows))
			must(b, err)
			rows = nil
		}
	}
	return stations
}

// BenchmarkHistories reads them, every value of every day, from a database on
// this machine, as often as it is told to.
func BenchmarkHistories(b *testing.B) {
	db := memory(b)
	past := Past{Stations: inventedPast(b, db), From: 2001, To: 2000 + benchYears}
	runtime.GC()
	b.ReportAllocs()
	for b.Loop() {
		stations, days, sum := 0, 0, 0.0
		if err := db.Read(b.Context(), func(book *Book) error {
			return book.Histories(b.Context(), past, func(_ string, of []weather.Day) error {
				stations++
				days += len(of)
				for i := range of {
					sum += of[i].MeanC
				}
				return nil
			})
		}); err != nil || stations != benchSites || days != benchSites*10957 || math.IsNaN(sum) { // 30·365 + 7 leap days
			b.Fatal(stations, days, sum, err)
		}
	}
}
