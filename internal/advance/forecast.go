package advance

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// distribution is a stage's day distribution as issued today: the running
// year's readings up to yesterday, past years from today on, drawn towards by
// the short-range forecast.
func (g grounds) distribution(st stage.Stage, today civil.Date) (ensemble.Days, error) {
	// To the end of the year and no further, so that the newest past year's
	// window holds nothing of the running one.
	horizon := int(civil.Of(g.year, 12, 31)-st.Heat.Start.In(g.year)) + 1
	members := ensemble.FromYears(g.past(), ensemble.Alignment{Start: st.Heat.Start, Year: g.year, Horizon: horizon})
	members = ensemble.Blend(members, g.outlookMeans(), today)
	return stage.Distribution(stage.Input{
		Stage: st, Season: g.year, Issued: today, Observed: g.observed(), Members: members, Horizon: horizon,
	})
}

// outlookMeans is the short-range forecast as daily means.
func (g grounds) outlookMeans() []ensemble.Mean {
	var out []ensemble.Mean
	for _, d := range g.outlook {
		if c, _, ok := d.Mean(); ok {
			out = append(out, ensemble.Mean{Date: d.Date, MeanC: c})
		}
	}
	return out
}
