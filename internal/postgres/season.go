package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/call"
)

// SeasonSites lists the sites of which anything is stored in a season.
func (b *Book) SeasonSites(ctx context.Context, year int) ([]string, error) {
	rows, err := b.tx.Query(ctx, `
		select site from site_call where season = $1 union select site from report where season = $1
		union select site from owed where season = $1 union select site from issued where season = $1 order by 1`, year)
	if err != nil {
		return nil, fmt.Errorf("looking for the sites of season %d: %w", year, err)
	}
	return collectStrings(rows)
}

// ToldOnce is one thing that was told to somebody about a site.
type ToldOnce struct {
	At       time.Time
	Person   string // code; empty: nobody was left to ask
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Passed   bool
	Letter   string // ID, empty: not in one
	State    string // of the letter
}

// AllTold lists everything that was told about a site's season, oldest first.
func (b *Book) AllTold(ctx context.Context, site string, year int) ([]ToldOnce, error) {
	rows, err := b.tx.Query(ctx, `
		select o.at, o.person, o.task, o.standing, o.reason, o.passed, coalesce(o.letter_id, ''),
			coalesce(l.state, case when o.dropped_at is not null then 'dropped' else '' end)
		from owed o left join letter l on l.id = o.letter_id
		where o.site = $1 and o.season = $2 order by o.id`, site, year)
	if err != nil {
		return nil, fmt.Errorf("reading everything told about %s: %w", site, err)
	}
	list, err := pgx.CollectRows(rows, pgx.RowToStructByPos[ToldOnce])
	if err != nil {
		return nil, fmt.Errorf("reading everything told about %s: %w", site, err)
	}
	for i := range list {
		list[i].At = list[i].At.UTC()
	}
	return list, nil
}
