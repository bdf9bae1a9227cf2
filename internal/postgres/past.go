package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// once keeps what a Book is asked for again and again about the past. It may be
// older than what is read next, never newer: whoever keeps something under a
// mark asks for the mark first.
func (b *Book) once(key string, read func() (string, error)) (string, error) {
	if mark, ok := b.marks[key]; ok {
		return mark, nil
	}
	mark, err := read()
	if err != nil {
		return "", err
	}
	if b.marks == nil {
		b.marks = map[string]string{}
	}
	b.marks[key] = mark
	return mark, nil
}

// HistoryMark gives a text that changes whenever a day of one of the stations
// does that lies before a year: where the rows stand and which transaction
// wrote them, without a look at the days themselves.
func (b *Book) HistoryMark(ctx context.Context, stations []string, before int) (string, error) {
	if len(stations) == 0 {
		return "", nil
	}
	return b.once(fmt.Sprint("history", before, stations), func() (mark string, err error) {
		err = b.tx.QueryRow(ctx, `
			select (select coalesce(md5(string_agg(station || year || xmin::text || ctid::text, ',' order by station, year)), '')
				from station_year where station = any($1) and year < $2)
			|| (select coalesce(md5(string_agg(station || day || xmin::text || ctid::text, ',' order by station, day)), '')
				from station_day where station = any($1) and day < $3)`,
			stations, before, date(civil.Of(before, 1, 1))).Scan(&mark)
		if err != nil {
			return "", fmt.Errorf("marking the past of stations %v: %w", stations, err)
		}
		return mark, nil
	})
}

// PastReportsMark gives a text that changes whenever PastReports of any site
// does; reports are never changed. It is empty where there are none.
func (b *Book) PastReportsMark(ctx context.Context, before int) (string, error) {
	return b.once(fmt.Sprint("reports", before), func() (string, error) {
		var count, newest int64
		if err := b.tx.QueryRow(ctx, `
			select count(*), coalesce(max(id), 0) from report where season < $1 and kind in ('stage seen', 'not yet seen')`, before).
			Scan(&count, &newest); err != nil {
			return "", fmt.Errorf("marking the reports of the seasons before %d: %w", before, err)
		}
		if count == 0 {
			return "", nil
		}
		return fmt.Sprintf("%d up to %d", count, newest), nil
	})
}

// PastReports gives what was seen, or not yet seen, at sites in the seasons
// before a year, in the order in which it came.
func (b *Book) PastReports(ctx context.Context, sites []string, before int) ([]trail.Report, error) {
	rows, err := b.tx.Query(ctx, `
		select id, person, site, kind, tree, bbch, day, at, way from report
		where season < $2 and kind in ('stage seen', 'not yet seen') and site = any($1) order by id`, sites, before)
	if err != nil {
		return nil, fmt.Errorf("reading the reports of the seasons before %d: %w", before, err)
	}
	reports, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (r trail.Report, err error) {
		var on pgtype.Date
		err = row.Scan(&r.ID, &r.Person, &r.Site, &r.Kind, &r.Tree, &r.BBCH, &on, &r.At, &r.Way)
		r.Day, r.At = day(on), r.At.UTC()
		return r, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the reports of the seasons before %d: %w", before, err)
	}
	return reports, nil
}
