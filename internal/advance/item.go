package advance

import (
	"slices"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// item writes down what somebody is told about a call: everything that the
// mail says, as it is known now.
func item(t Task, g *grounds, f season.Facts, out season.Outcome, o season.Owed) notice.Item {
	s := out.Calls[o.Task]
	it := notice.Item{
		Site: t.Site.Code, SiteName: t.Site.Name, Species: g.profile.Species, Task: o.Task, Standing: o.Standing, Reason: o.Reason,
		Days: s.Days, Best: s.Best, CanGo: canGo(t.Programme, o.Person, s.Days, f.Day),
		Trees: needs(o.Task, t.Site, g.reports, f.Flowering()),
	}
	it.Said = said(t.Programme, t.Site, g.reports, o.About)
	e := season.Explain(f, o.Task, s)
	it.Second, it.Replaces = e.SecondTrip, e.Replaces
	it.Why = why(t, g, f, o.Task, e)
	last := max(s.Days.Last, f.Day)
	it.Link, it.Expires = t.Link(o.Person, t.Site.Code, o.Task, g.year, last)
	if o.Passed {
		it.Passed = passedOn(t.Programme, t.Site, s, o.Person)
	}
	return it
}

// canGo lists the days told, from tomorrow's or today's on, on which a person
// can go.
func canGo(p *config.Programme, person string, days civil.Range, today civil.Date) []civil.Date {
	var out []civil.Date
	for _, who := range p.People {
		if who.Code != person || who.CanGo == 0 {
			continue
		}
		for d := max(days.First, today); d <= days.Last; d++ {
			if who.CanGo.Has(d) {
				out = append(out, d)
			}
		}
	}
	return out
}

// said gives the reports under the IDs, with who sent them.
func said(p *config.Programme, site config.Site, reports []trail.Report, about []int64) (out []notice.Said) {
	for _, r := range reports {
		if !slices.Contains(about, r.ID) {
			continue
		}
		s := notice.Said{Report: r, By: notice.Contact{Name: r.Person, Role: Role(p, site, r.Person)}}
		if who, known := p.Person(r.Person); known {
			s.By.Name, s.By.Phone = who.Name, who.Phone
		}
		out = append(out, s)
	}
	return out
}

// needs gives the trees that a call is about; flowering is the day on which it
// began or is expected to, zero where that isn't known.
func needs(task call.Task, site config.Site, reports []trail.Report, flowering civil.Date) []notice.TreeNeed {
	switch task {
	case call.SendKit, call.LookAtBuds, call.ShortSeason:
		return nil
	case call.LookAtSeed:
		task = call.PickSeed
	}
	var out []notice.TreeNeed
	for _, n := range season.Needs(task, season.Stock{Trees: site.Trees, Settings: site.Settings, Reports: reports, Flowering: flowering}) {
		out = append(out, notice.TreeNeed{Code: n.Tree.Code, Short: n.Tree.Short, Selfing: n.Selfing, Control: n.Control, OnSelfing: n.OnSelfing, OnControl: n.OnControl, DoubtfulSince: n.DoubtfulSince})
	}
	return out
}

// FormTrees gives the trees that the form of a call offers: every living tree
// for surveying and bagging, so that a report can be corrected; else those with
// bags on, and for the laboratory those whose seed was picked. flowering is the
// day on which it began or is expected to; zero: not known.
func FormTrees(task call.Task, site config.Site, reports []trail.Report, flowering civil.Date) []notice.TreeNeed {
	open := map[string]notice.TreeNeed{}
	for _, n := range needs(task, site, reports, flowering) {
		open[n.Short] = n
	}
	var out []notice.TreeNeed
	for _, tree := range site.Trees {
		n, isOpen := open[tree.Short]
		switch {
		case tree.Gone:
		case isOpen:
			out = append(out, n)
		case task == call.BagOn, task == call.SurveyTrees, task == call.LotExpected && was(trail.Picked, tree, reports),
			(task == call.TakeOff || task == call.CheckBags || task == call.PickSeed) && was(trail.BagsOn, tree, reports):
			out = append(out, notice.TreeNeed{Code: tree.Code, Short: tree.Short})
		}
	}
	return out
}

// was tells whether bags or packets of a tree were reported.
func was(kind trail.Kind, tree trail.Tree, reports []trail.Report) bool {
	for _, r := range reports {
		if r.Kind == kind && r.Tree == tree.Short && r.Selfing+r.Control > 0 {
			return true
		}
	}
	return false
}

func passedOn(p *config.Programme, site config.Site, s season.State, now string) *notice.PassedOn {
	out := &notice.PassedOn{}
	for _, a := range s.Asked {
		if a.Person == now {
			continue
		}
		if who, known := p.Person(a.Person); known {
			out.From = append(out.From, notice.Contact{Name: who.Name, Phone: who.Phone, Role: Role(p, site, who.Code)})
			out.AskedAt = append(out.AskedAt, a.At.In(site.Zone).Truncate(time.Minute))
		}
	}
	return out
}

// Role gives what a person is at a site: "site lead", or empty.
func Role(p *config.Programme, site config.Site, person string) string {
	switch person {
	case site.Lead:
		return "site lead"
	case site.Deputy:
		return "site deputy"
	case p.Coordinator:
		return "coordinator"
	case p.CoordinatorDeputy:
		return "coordinator's deputy"
	case p.Laboratory:
		return "laboratory"
	}
	return ""
}

// governing is the stage whose heat a call hangs on.
func governing(task call.Task) stage.BBCH {
	switch task {
	case call.SurveyTrees, call.SendKit:
		return stage.BudSwelling
	case call.LookAtBuds, call.BagOn:
		return stage.BudBreak
	case call.CheckBags:
		return stage.Flowering
	case call.TakeOff:
		return stage.FloweringOver
	}
	return stage.SeedRipe
}

func why(t Task, g *grounds, f season.Facts, task call.Task, e season.Explanation) notice.Why {
	st, _ := g.profile.Find(governing(task))
	heat, _ := stage.HeatSoFar(st, g.year, g.observed, f.Day-1)
	d := distributionOf(f.Forecast, st.Code)
	w := notice.Why{
		Stage: st.Code, StageName: st.Name, HeatCd: heat, NeedCd: st.MedianCd, BaseC: st.Heat.Rule.BaseC, Since: st.Heat.Start.In(g.year),
		GoOn: e.GoOn, GoLate: e.GoLate, GoEarly: e.GoEarly, WaitFor: e.WaitFor, WaitLate: e.WaitLate, WaitEarly: e.WaitEarly,
		Earliest: e.Earliest, MaxLead: t.Site.Settings.MaxLeadDays, SeasonEnd: t.Site.Settings.SeasonEnd.In(g.year), Chance: e.Chance,
		Forecast: len(g.outlook) > 0, Years: g.lore.foreign(),
	}
	switch {
	case task == call.CheckBags && f.Calls[task].Reason != call.StrongWind:
		w.Within = t.Site.Settings.CheckAfterDays
	case task == call.LotExpected:
		w.Within = t.Site.Settings.LotDays
	}
	w.P10, _ = d.Quantile(0.1)
	w.P50, _ = d.Quantile(0.5)
	w.P90, _ = d.Quantile(0.9)
	if g.last.Station != "" {
		from := station(t.Programme, g.last.Station)
		w.Reading, w.Station = g.last.Day.Date, from.Name
		w.DistanceKm, w.HigherM = t.Site.DistanceKm(from), t.Site.AltitudeM-from.AltitudeM
		w.StandsFor, w.StandsSince = g.standsIn(t)
	}
	return w
}

func distributionOf(f season.Forecast, code stage.BBCH) ensemble.Days {
	switch code {
	case stage.BudSwelling:
		return f.Swelling
	case stage.BudBreak:
		return f.Break
	case stage.Flowering:
		return f.Flowering
	case stage.FloweringOver:
		return f.Over
	}
	return f.Ripe
}

// Ground is what the board says of a site's weather.
type Ground struct {
	Station        string // name of the station last used
	Reading        civil.Date
	ReadingC       float64 // daily mean at the site
	HeatCd, NeedCd float64 // for bud break
}
