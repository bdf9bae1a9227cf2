package advance

import (
	"context"

	"budcall/internal/stage"
)

// Now gives what the board says of a site's weather as it stands.
func Now(ctx context.Context, r Reader, t Task) (Ground, error) {
	g, err := running(ctx, r, t, nil)
	if err != nil {
		return Ground{}, err
	}
	var out Ground
	if st, ok := g.profile.Find(stage.BudBreak); ok {
		out.NeedCd = st.MedianCd
		out.HeatCd, _ = stage.HeatSoFar(st, g.year, g.observed, t.today()-1)
	}
	if g.last.Station != "" {
		out.Station, out.Reading = station(t.Programme, g.last.Station).Name, g.last.Day.Date
		out.ReadingC, _, _ = g.last.Day.Mean()
	}
	return out, nil
}
