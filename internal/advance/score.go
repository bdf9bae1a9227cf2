package advance

import (
	"context"
	"slices"

	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Scores scores the forecasts that were issued for a site this season, of the
// stages that have been reported seen by now. It reads and stores nothing else;
// the same record and reports give the same scores. An *Unfit says that the
// site can't be scored as it is set up.
func Scores(ctx context.Context, r Reader, t Task, record stage.Record) ([]stage.Score, error) {
	g, err := ground(ctx, r, t)
	if err != nil || !stage.SeenAny(g.reports) {
		return nil, err
	}
	past, err := r.PastReports(ctx, []string{t.Site.Code}, g.year)
	if err != nil {
		return nil, err
	}
	before := map[int][]trail.Report{}
	for _, p := range past {
		before[p.Day.Year()] = append(before[p.Day.Year()], p)
	}
	means := slices.Clip(g.lore.past)
	for _, d := range g.observed {
		if c, _, ok := d.Mean(); ok {
			means = append(means, ensemble.Mean{Date: d.Date, MeanC: c})
		}
	}
	return stage.Scores(stage.Scoring{
		Stages: g.profile.Stages, Season: g.year, Today: t.today(), Zone: t.Site.Zone,
		Record: record, Reports: g.reports, Before: before, Means: means,
	}), nil
}
