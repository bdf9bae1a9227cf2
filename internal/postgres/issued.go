package postgres

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// SaveIssued stores a stage's forecast as issued on a day. One that doesn't
// differ from the last one stored isn't written again.
func (b *Book) SaveIssued(ctx context.Context, site string, year int, code stage.BBCH, on civil.Date, d ensemble.Days) error {
	first, live := packDays(d)
	read := unpackDays(first, live) // so that what is stored beside it agrees with it
	q := func(p float64) pgtype.Date { q, _ := read.Quantile(p); return date(q) }
	var haveFirst pgtype.Date
	var have []byte
	err := b.tx.QueryRow(ctx, `
		select first_live, live from issued where site = $1 and season = $2 and stage = $3 and issued_on <= $4
		order by issued_on desc limit 1`, site, year, int(code), date(on)).Scan(&haveFirst, &have)
	if err == nil && day(haveFirst) == first && bytes.Equal(have, live) {
		return nil
	}
	if err != nil && err != pgx.ErrNoRows {
		return fmt.Errorf("looking up the last forecast of stage %s at %s: %w", code, site, err)
	}
	if _, err := b.tx.Exec(ctx, `
		insert into issued (site, season, stage, issued_on, p10, p50, p90, first_live, live)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		on conflict on constraint issued_key do update set p10 = excluded.p10, p50 = excluded.p50, p90 = excluded.p90,
			first_live = excluded.first_live, live = excluded.live`,
		site, year, int(code), date(on), q(0.1), q(0.5), q(0.9), date(first), live); err != nil {
		return fmt.Errorf("storing the forecast of stage %s at %s: %w", code, site, err)
	}
	return nil
}

// packDays keeps the live part of a distribution, from the first day whose
// chance rounds to more than 0 to the first whose chance rounds to 1, as
// little-endian uint16 of 65535ths. What was packed once packs the same again.
func packDays(d ensemble.Days) (first civil.Date, live []byte) {
	live = []byte{} // a stage that can't be reached within the horizon has no live part
	for i, p := range d.By {
		of := uint16(math.Round(min(max(p, 0), 1) * math.MaxUint16))
		if of == 0 && first == 0 {
			continue
		}
		if first == 0 {
			first = d.From + civil.Date(i)
		}
		live = binary.LittleEndian.AppendUint16(live, of)
		if of == math.MaxUint16 {
			break
		}
	}
	return first, live
}

func unpackDays(first civil.Date, live []byte) ensemble.Days {
	d := ensemble.Days{From: first}
	for at := 0; at+1 < len(live); at += 2 {
		d.By = append(d.By, float64(binary.LittleEndian.Uint16(live[at:]))/65535)
	}
	return d
}

// Issued is one stage's forecast as it was issued.
type Issued struct {
	Code          stage.BBCH
	On            civil.Date
	P10, P50, P90 civil.Date // zero: beyond the horizon
	Days          ensemble.Days
}

// Issued gives the forecasts issued for a site's season, oldest first.
func (b *Book) Issued(ctx context.Context, site string, year int) ([]Issued, error) {
	rows, err := b.tx.Query(ctx, `
		select stage, issued_on, p10, p50, p90, first_live, live from issued
		where site = $1 and season = $2 order by issued_on, stage`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading the forecasts of %s: %w", site, err)
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (i Issued, err error) {
		var code int
		var on, p10, p50, p90, first pgtype.Date
		var live []byte
		err = row.Scan(&code, &on, &p10, &p50, &p90, &first, &live)
		return Issued{
			Code: stage.BBCH(code), On: day(on), P10: day(p10), P50: day(p50), P90: day(p90), Days: unpackDays(day(first), live),
		}, err
	})
}
