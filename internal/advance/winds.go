package advance

import (
	"context"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// winds gives the site's winds of the season: what its first station has
// measured, and from there on what is foreseen, for as long as the forecast is
// young enough.
func (g *grounds) winds(ctx context.Context, r Reader, t Task) ([]weather.Wind, error) {
	var out []weather.Wind
	if len(t.Site.Stations) > 0 {
		measured, err := r.Winds(ctx, t.Site.Stations[0], civil.Range{First: civil.Of(g.year, 1, 1), Last: t.today() - 1})
		if err != nil {
			return nil, err
		}
		out = measured
	}
	if len(g.outlook) == 0 {
		return out, nil
	}
	foreseen, err := r.OutlookWinds(ctx, t.Site.Code, t.Now)
	if err != nil {
		return nil, err
	}
	for _, w := range foreseen {
		if w.Date >= t.today() {
			out = append(out, w)
		}
	}
	return out, nil
}
