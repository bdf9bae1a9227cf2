package postgres

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"budcall/internal/stage"
)

// ScoredThrough gives the report up to which a site's season has been scored,
// 0 where it never was.
func (b *Book) ScoredThrough(ctx context.Context, site string, season int) (report int64, err error) {
	err = b.tx.QueryRow(ctx, `select report_id from scored where site = $1 and season = $2`, site, season).Scan(&report)
	if err != nil && err != pgx.ErrNoRows {
		return 0, fmt.Errorf("looking up to where %s is scored: %w", site, err)
	}
	return report, nil
}

// SaveScores puts the scores of a site's season in the place of those before,
// and marks up to which report they go.
func (b *Book) SaveScores(ctx context.Context, site string, season int, through int64, scores []stage.Score) error {
	if _, err := b.tx.Exec(ctx, `delete from score where site = $1 and season = $2`, site, season); err != nil {
		return fmt.Errorf("replacing the scores of %s: %w", site, err)
	}
	for _, s := range scores {
		if _, err := b.tx.Exec(ctx, `
			insert into score (site, season, stage, lead, issued_on, not_yet, seen, error_days, crps_days, pit_low, pit_high,
				inside80, mean_date_days, regression_days, past_dates, basis)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`,
			site, season, int(s.Code), s.Lead, date(s.Issued), date(s.NotYet), date(s.Seen), known(s.ErrorDays), s.CRPS, s.PIT.Low, s.PIT.High,
			s.Inside80(), known(s.CRPSMeanDate), known(s.CRPSRegression), s.Past, string(s.Basis)); err != nil {
			return fmt.Errorf("storing the score of stage %s at %s: %w", s.Code, site, err)
		}
	}
	if _, err := b.tx.Exec(ctx, `
		insert into scored (site, season, report_id) values ($1, $2, $3)
		on conflict on constraint scored_key do update set report_id = excluded.report_id, at = clock_timestamp()`, site, season, through); err != nil {
		return fmt.Errorf("marking %s as scored: %w", site, err)
	}
	return nil
}

// known gives a number as PostgreSQL takes it; NaN is null.
func known(x float64) pgtype.Float8 { return pgtype.Float8{Float64: x, Valid: !math.IsNaN(x)} }

func unknown(x pgtype.Float8) float64 {
	if !x.Valid {
		return math.NaN()
	}
	return x.Float64
}

// Scores gives the scores of a site's season, by stage, the longest lead first.
func (b *Book) Scores(ctx context.Context, site string, season int) ([]stage.Score, error) {
	rows, err := b.tx.Query(ctx, `
		select stage, lead, issued_on, not_yet, seen, error_days, crps_days, pit_low, pit_high, mean_date_days, regression_days, past_dates, basis
		from score where site = $1 and season = $2 order by stage, lead desc`, site, season)
	if err != nil {
		return nil, fmt.Errorf("reading the scores of %s: %w", site, err)
	}
	scores, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (s stage.Score, err error) {
		var issued, notYet, seen pgtype.Date
		var late, mean, regression pgtype.Float8
		err = row.Scan(&s.Code, &s.Lead, &issued, &notYet, &seen, &late, &s.CRPS, &s.PIT.Low, &s.PIT.High, &mean, &regression, &s.Past, &s.Basis)
		s.Issued, s.NotYet, s.Seen = day(issued), day(notYet), day(seen)
		s.ErrorDays, s.CRPSMeanDate, s.CRPSRegression = unknown(late), unknown(mean), unknown(regression)
		return s, err
	})
	if err != nil {
		return nil, fmt.Errorf("reading the scores of %s: %w", site, err)
	}
	return scores, nil
}

// skillQuery averages a season's scores as stage.SkillOf does.
const skillQuery = `
	select stage, lead, count(*), avg(crps_days), avg(inside80), count(error_days), coalesce(avg(error_days), 0), coalesce(avg(abs(error_days)), 0),
		count(mean_date_days), coalesce(avg(crps_days) filter (where mean_date_days is not null), 0),
		coalesce(avg(mean_date_days), 0), coalesce(avg(regression_days), 0), count(*) filter (where basis = 'computed')
	from score where season = $1 group by stage, lead order by stage, lead desc`

func skills(rows pgx.Rows, err error) ([]stage.Skill, error) {
	if err == nil {
		var out []stage.Skill
		out, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (s stage.Skill, err error) {
			err = row.Scan(&s.Code, &s.Lead, &s.N, &s.CRPS, &s.Inside80, &s.Timed, &s.ErrorDays, &s.AbsErrorDays,
				&s.Compared, &s.ComparedCRPS, &s.CRPSMeanDate, &s.CRPSRegression, &s.Computed)
			return s, err
		})
		if err == nil {
			return out, nil
		}
	}
	return nil, fmt.Errorf("averaging the season's scores: %w", err)
}

// Skills gives how a season's forecasts did over all sites, by stage and lead.
func (b *Book) Skills(ctx context.Context, season int) ([]stage.Skill, error) {
	return skills(b.tx.Query(ctx, skillQuery, season))
}

// SkillsSince gives the same and when a site was last scored; nothing where no
// site was scored after since.
func (db *DB) SkillsSince(ctx context.Context, season int, since time.Time) ([]stage.Skill, time.Time, error) {
	var newest *time.Time
	if err := db.pool.QueryRow(ctx, `select max(at) from scored where season = $1`, season).Scan(&newest); err != nil {
		return nil, since, fmt.Errorf("looking for new scores: %w", err)
	}
	if newest == nil || !newest.After(since) {
		return nil, since, nil
	}
	out, err := skills(db.pool.Query(ctx, skillQuery, season))
	return out, *newest, err
}
