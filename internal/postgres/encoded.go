package postgres

import (
	"fmt"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// What follows is for a memory that isn't PostgreSQL's and must give back what
// this one would: the same roundings, the same things left out.

// EncodeDays gives the live part of a distribution as it is stored: the first
// day, and 65535ths as little-endian uint16.
func EncodeDays(d ensemble.Days) (first civil.Date, live []byte) { return packDays(d) }

// DecodeDays gives a distribution back from its live part.
func DecodeDays(first civil.Date, live []byte) ensemble.Days { return unpackDays(first, live) }

// PastYear gives the days of a past year as they are read back from the
// memory, where later are stored over before: rounded to hundredths of a
// degree, without those that are marked or hold nothing.
func PastYear(year int, before, later []weather.Day) ([]weather.Day, error) {
	days, err := unpackYear(year, packYear(year, slices.Concat(before, later)))
	if err != nil {
		return nil, fmt.Errorf("packing the year %d: %w", year, err)
	}
	return days, nil
}
