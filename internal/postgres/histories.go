package postgres

import (
	"context"
	"encoding/binary"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Past says which days of which stations are read.
type Past struct {
	Stations []string
	From, To int // years, both included
}

// History gives the days of a station in the years from..to, both included,
// sorted; marked days are among the open years' as they are stored.
func (b *Book) History(ctx context.Context, station string, from, to int) (days []weather.Day, err error) {
	err = b.Histories(ctx, Past{Stations: []string{station}, From: from, To: to}, func(_ string, of []weather.Day) error {
		days = append(days, of...)
		return nil
	})
	return days, err
}

// Histories gives f the days of each station, in the order of the stations, as
// History does; a station without days isn't given. The days are f's until it
// returns, and f may not read from the Book: the next stations are being read
// meanwhile. Nothing is held of more than a few stations at once.
func (b *Book) Histories(ctx context.Context, p Past, f func(station string, days []weather.Day) error) error {
	open, err := b.openDays(ctx, p)
	if err != nil {
		return fmt.Errorf("reading days of stations: %w", err)
	}
	d := decoder{past: p, open: open, f: f, full: make(chan *yearBlock, blocksAhead), empty: make(chan *yearBlock, blocksAhead), over: make(chan error, 1)}
	for range blocksAhead {
		d.empty <- &yearBlock{}
	}
	go d.run()
	err = b.packedYears(ctx, &d)
	close(d.full)
	if decodeErr := <-d.over; decodeErr != nil { // else err only says that the reading was given up
		return decodeErr
	}
	if err != nil {
		return fmt.Errorf("reading past years of stations: %w", err)
	}
	return nil
}

// blocksAhead is how many stations are read before they are decoded.
const blocksAhead = 8

// yearBlock is the packed years of one station, one after the other.
type yearBlock struct {
	station int // its number in Past
	years   []rawYear
	packed  []byte
}

// rawYear is where a year lies in the bytes of its block.
type rawYear struct{ year, begin, end int }

// packedYears reads the packed years and hands them on, one station at a time.
func (b *Book) packedYears(ctx context.Context, d *decoder) error {
	// "offset 0" keeps the planner from anything but one station after the
	// other, by key; the years of a station come in any order, so that nothing
	// is sorted there.
	rows, err := b.tx.Query(ctx, `
		select s.number, y.year, y.days from unnest($1::text[]) with ordinality as s (station, number) cross join lateral (
			select year, days from station_year where station = s.station and year between $2 and $3 offset 0
		) y`, pgx.QueryResultFormats{pgx.BinaryFormatCode}, d.past.Stations, d.past.From, d.past.To)
	if err != nil {
		return err
	}
	defer rows.Close()
	var block *yearBlock
	for rows.Next() {
		raw := rows.RawValues() // not copied once more than it must be
		station := int(binary.BigEndian.Uint64(raw[0])) - 1
		if block != nil && station < block.station {
			return fmt.Errorf("the database gives the stations out of order: tell us its version")
		}
		if block == nil || station != block.station {
			if block != nil {
				d.full <- block // there is room for every block
			}
			if block = d.next(station); block == nil {
				return nil
			}
		}
		begin := len(block.packed)
		block.packed = append(block.packed, raw[2]...)
		block.years = append(block.years, rawYear{int(int16(binary.BigEndian.Uint16(raw[1]))), begin, len(block.packed)})
	}
	if block != nil && rows.Err() == nil {
		d.full <- block
	}
	return rows.Err()
}

// openDays reads the rows of the stations' days.
func (b *Book) openDays(ctx context.Context, p Past) (map[string][]weather.Day, error) {
	rows, err := b.tx.Query(ctx, `
		select station, `+dayRow+` from station_day where station = any($1) and day between $2 and $3 order by station, day`,
		p.Stations, date(civil.Of(p.From, 1, 1)), date(civil.Of(p.To, 12, 31)))
	if err != nil {
		return nil, err
	}
	open := map[string][]weather.Day{}
	var station, meanOf string
	var on pgtype.Date
	var d weather.Day
	_, err = pgx.ForEachRow(rows, []any{&station, &on, &d.MinC, &d.MaxC, &d.MeanC, &d.Mark, &d.Provisional, &meanOf}, func() error {
		d.Date, d.MeanOf = day(on), weather.MeanOfWords(meanOf)
		open[station] = append(open[station], d)
		return nil
	})
	return open, err
}

// dayRow is a row of station_day as a weather.Day is read from it.
const dayRow = `day, coalesce(min_c, 'NaN'), coalesce(max_c, 'NaN'), coalesce(mean_c, 'NaN'), mark, provisional, mean_of`
