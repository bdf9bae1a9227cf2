package app

import (
	"context"
	"fmt"
	"time"

	"budcall/internal/advance"
	"budcall/internal/config"
	"budcall/internal/stage"
)

// score scores a site's issued forecasts, all of its season's, when a stage has
// been reported and a report has come since they were last scored.
func (w *works) score(ctx context.Context, b Book, site config.Site, v advance.Verdict, at time.Time) error {
	if !stage.SeenAny(v.Reports) {
		return nil
	}
	var newest int64 // of the reports that count at this time; one of a day to come is scored when that has come
	for _, r := range v.Reports {
		if !r.At.After(at) && r.Day <= v.Today {
			newest = max(newest, r.ID)
		}
	}
	through, err := b.ScoredThrough(ctx, site.Code, v.Season)
	if err != nil || through >= newest {
		return err
	}
	record, err := b.Record(ctx, site.Code, v.Season, site.Zone)
	if err != nil {
		return err
	}
	scores, err := advance.Scores(ctx, b, advance.Task{Programme: w.programme(), Site: site, Now: at, Memo: w.memo}, record)
	if err != nil {
		return fmt.Errorf("scoring the forecasts of %s: %w", site.Code, err)
	}
	return b.SaveScores(ctx, site.Code, v.Season, newest, scores)
}
