package advance

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// distribution is a stage's day distribution as issued today: the running
// year's readings up to yesterday, past years from today on, drawn towards by
// the short-range forecast.
func (g *grounds) distribution(st stage.Stage, today civil.Date) (ensemble.Days, error) {
	members := g.membersFrom(st.Heat.Start)
	return stage.Distribution(stage.Input{
		Stage: st, Season: g.year, Issued: today, Observed: g.observed, Members: members, Horizon: g.horizon(st.Heat.Start),
	})
}

// horizon reaches to the end of the year and no further, so that the newest
// past year's window holds nothing of the running one.
func (g *grounds) horizon(start civil.MonthDay) int {
	return int(civil.Of(g.year, 12, 31)-start.In(g.year)) + 1
}

// membersFrom gives the weather to come, aligned by a start; stages that
// start on the same day share it.
func (g *grounds) membersFrom(start civil.MonthDay) ensemble.Members {
	if m, ok := g.members[start]; ok {
		return m
	}
	m := ensemble.FromMeans(g.past, ensemble.Alignment{Start: start, Year: g.year, Horizon: g.horizon(start)})
	m = ensemble.Blend(m, g.outlookMeans(), g.foreseen) // its error grows from the day of issue
	g.members[start] = m
	return m
}

// outlookMeans is the short-range forecast as daily means.
func (g *grounds) outlookMeans() []ensemble.Mean {
	var out []ensemble.Mean
	for _, d := range g.outlook {
		if c, _, ok := d.Mean(); ok {
			out = append(out, ensemble.Mean{Date: d.Date, MeanC: c})
		}
	}
	return out
}
