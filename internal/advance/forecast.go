package advance

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// forecasts is a day's forecast, of which there are two where other stations
// stood in for the site's own.
type forecasts struct {
	issued []Issued        // every stage's, with the stated error of days that stand in
	said   season.Forecast // the same as the calls need it: what people are told the odds by
	stands season.Forecast // with that error taken away: what calls stand on
}

// forecasts issues the day's forecasts.
//
// A doubt makes a forecast wider, and the thresholds that calls stand on (a
// chance of 0.10 to be too late, of 0.95 to be over) lie in its tails: the day
// on which a station falls silent would open calls, close them and move their
// days, though nobody knows more of the trees than the day before. So a call
// stands on what is expected: its standing changes where it would with the doubt
// taken away as well, by the weather or by a report, and by nothing else. The
// doubt itself is issued, scored, said with the odds, and answered by asking
// for a look at the buds (season.Facts.Blind).
func (g *grounds) forecasts(t Task) (f forecasts, err error) {
	f.said, f.issued, err = g.forecast(t, g.doubts)
	f.stands = f.said
	if err == nil && g.doubts != nil {
		f.stands, _, err = g.forecast(t, nil)
	}
	return f, err
}

// forecast issues the distribution of every stage, cut by what was reported of
// it, and gives what the calls need of them. doubts are the stated errors of the
// days observed, by day, that stand in for a reading.
func (g *grounds) forecast(t Task, doubts []weather.Doubt) (season.Forecast, []Issued, error) {
	stages := g.profile.Stages
	asks := make([]stage.Ask, len(stages))
	early, shed := -1, -1
	for i, st := range stages {
		asks[i].Stage = i
		switch st.Code {
		case stage.BudBreak:
			early = len(asks)
			asks = append(asks, stage.Ask{Stage: i, Of: st.Earliest(living(t.Site.Trees))})
		case stage.SeedRipe:
			shed = len(asks)
			asks = append(asks, stage.Ask{Stage: i, Of: stage.After(t.Site.Settings.ShedAfterCd)})
		}
	}
	spring := g.spring(t.today())
	spring.Doubts = doubts
	days, err := spring.Days(asks)
	if err != nil {
		return season.Forecast{}, nil, err
	}
	bounds := make([]stage.Bounds, len(stages))
	for i, a := range asks {
		b := stage.BoundsOf(g.reports, stages[a.Stage].Code)
		if i < len(stages) {
			bounds[i] = b
		}
		if i != shed {
			days[i] = g.finished(days[i], a.Stage, b, t.today())
		}
	}
	stage.InOrder(stages, days[:len(stages)])
	return g.collect(days, bounds, early, shed)
}

// finished cuts a distribution at the visits to its stage, and draws it to the
// mean date where that is known and far off.
func (g *grounds) finished(d ensemble.Days, of int, b stage.Bounds, today civil.Date) ensemble.Days {
	date, known := g.lore.dates[of]
	if !known || b.Seen != 0 {
		return stage.Truncate(d, b)
	}
	lead := date.MeanDay - float64(today-civil.Of(g.year, 1, 1))
	return stage.Drawn(stage.Truncate(d, b), stage.Truncate(date.In(g.year), b), lead)
}

// collect gives the calls what they need; early and shed are where the
// earliest tree and the seed that is shed stand among the days, −1 for nowhere.
func (g *grounds) collect(days []ensemble.Days, bounds []stage.Bounds, early, shed int) (f season.Forecast, issued []Issued, err error) {
	for i, st := range g.profile.Stages {
		d := days[i]
		issued = append(issued, Issued{Code: st.Code, Days: d})
		switch st.Code {
		case stage.BudSwelling:
			f.Swelling = d
		case stage.BudBreak:
			f.Break, f.BreakSeen, f.LastLook = d, bounds[i].Seen, bounds[i].NotYet
			f.Earliest = days[early]
		case stage.Flowering:
			f.Flowering = d
		case stage.FloweringOver:
			f.Over = d
		case stage.SeedRipe:
			f.Ripe, f.Shed = d, days[shed]
		}
	}
	return f, issued, nil
}

// spring is the site's season as it is known on a day.
func (g *grounds) spring(today civil.Date) stage.Spring {
	means := make([]float64, 0, len(g.observed))
	for _, d := range g.observed {
		c, _, ok := d.Mean()
		if !ok {
			c = math.NaN()
		}
		means = append(means, c)
	}
	return stage.Spring{
		Stages: g.profile.Stages, Year: g.year, Issued: today, MeansC: means, Reports: g.reports, Heats: g.lore.heats,
		Members: func(start civil.MonthDay) ensemble.Members { return g.membersFrom(start, means, today) },
	}
}

// membersFrom gives the weather to come, aligned by a start: past years, moved
// by what the last days say of the next, and drawn to the short-range forecast.
// Stages that start on the same day share it.
func (g *grounds) membersFrom(start civil.MonthDay, means []float64, today civil.Date) ensemble.Members {
	if m, ok := g.members[start]; ok {
		return m
	}
	from := start.In(g.year)
	soFar := means[min(len(means), int(max(0, from-civil.Of(g.year, 1, 1)))):]
	m := g.lore.moved(start, soFar, int(today-from))
	m = g.lore.foreErrs.Blend(m, g.outlookMeans(), g.foreseen) // its error grows from the day of issue
	g.members[start] = m
	return m
}

// outlookMeans is the short-range forecast as daily means.
func (g *grounds) outlookMeans() []ensemble.Mean { return stage.Means(g.outlook) }
