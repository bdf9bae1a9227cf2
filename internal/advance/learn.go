package advance

import (
	"cmp"
	"context"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// What past seasons' reports are learned from: our assumptions.
const (
	mostPooled   = 200 // sites, those with most seasons; more tell hardly more of what they share
	fewestToFit  = 10  // seasons of sites from which on effects are estimated, and a heat is fitted
	fewestToDate = ensemble.LeastDates
)

// learning is what past seasons' reports tell, of all sites of a programme
// with one profile.
type learning struct {
	sites map[string]*reporter // those with dated stages
	own   counting             // the stages' own heat
	more  []counting           // the profile's others
	edges []string             // fitted heats on the edge of their grid

	departures map[int][]departure // of the pooled sites, by year

	programme *config.Programme
	stations  []string // of the sites that are learned from
	history   string   // mark of these
}

// counting is one way to count heat, and what was learned in it.
type counting struct {
	name   string
	weight float64
	warmth func(config.Site) []stage.Warmth // by stage
	needs  func(config.Site, stage.YearMeans) ([]stage.Requirement, bool)
	joint  *stage.Joint
}

// reporter is a site with past reports.
type reporter struct {
	site  config.Site
	group int // in the joints; −1: beyond the most that are pooled
	dated []stage.Dated
	means stage.YearMeans // of those that are pooled
}

// seasons is how many past seasons a site has reported of.
func (r *reporter) seasons() int {
	years := map[int]bool{}
	for _, d := range r.dated {
		years[d.Year] = true
	}
	return len(years)
}

// learn reads past reports and the weather of the seasons they are of.
func learn(ctx context.Context, r Reader, t Task, p stage.Profile) (*learning, error) {
	year := t.today().Year()
	sites, codes := map[string]config.Site{}, []string(nil)
	for _, s := range t.Programme.Sites {
		if s.Profile == t.Site.Profile {
			sites[s.Code], codes = s, append(codes, s.Code)
		}
	}
	reports, err := r.PastReports(ctx, codes, year)
	if err != nil {
		return nil, err
	}
	l := &learning{programme: t.Programme, sites: map[string]*reporter{}}
	for code, of := range bySite(reports) {
		if dated := datedOf(p.Stages, of); len(dated) > 0 {
			l.sites[code] = &reporter{site: sites[code], group: -1, dated: dated}
		}
	}
	pooled := l.pool()
	if l.history, err = r.HistoryMark(ctx, l.stations, year); err != nil { // before it is read, so that what comes between shows
		return nil, err
	}
	for _, s := range pooled {
		first := s.dated[0].Year
		if len(p.Heats) > 0 { // requirements are carried over by all past years
			first = year - pastYears
		}
		over := civil.Range{First: civil.Of(max(first, year-pastYears), 1, 1), Last: civil.Of(year, 1, 1) - 1}
		at := t
		at.Site = s.site
		ranked, err := stations(ctx, r, at, over)
		if err != nil {
			return nil, err
		}
		fit(ranked)
		means, _ := filled(s.site, ranked, over)
		s.means = byYear(means)
	}
	return l, l.count(p, pooled)
}

func bySite(reports []trail.Report) map[string][]trail.Report {
	out := map[string][]trail.Report{}
	for _, r := range reports {
		out[r.Site] = append(out[r.Site], r)
	}
	return out
}

// datedOf gives the dated stages of a site's past seasons, by year.
func datedOf(stages []stage.Stage, reports []trail.Report) (dated []stage.Dated) {
	years := map[int][]trail.Report{}
	for _, r := range reports {
		years[r.Day.Year()] = append(years[r.Day.Year()], r)
	}
	for y, of := range years {
		dated = append(dated, stage.DatedOf(stages, y, of)...)
	}
	slices.SortFunc(dated, func(a, b stage.Dated) int { return cmp.Or(cmp.Compare(a.Year, b.Year), cmp.Compare(a.Stage, b.Stage)) })
	return dated
}

// pool numbers the sites that are learned from together: those with most
// seasons, and of as many the first by code.
func (l *learning) pool() []*reporter {
	var all []*reporter
	for _, s := range l.sites {
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b *reporter) int {
		return cmp.Or(-cmp.Compare(a.seasons(), b.seasons()), cmp.Compare(a.site.Code, b.site.Code))
	})
	all = all[:min(len(all), mostPooled)]
	for g, s := range all {
		s.group = g
		l.stations = append(l.stations, s.site.Stations...)
	}
	return all
}

// byYear gives daily means by year, from 1 January on.
func byYear(means []ensemble.Mean) stage.YearMeans {
	out := stage.YearMeans{}
	var first civil.Date
	var year []float64
	for _, m := range means {
		if y := m.Date.Year(); year == nil || m.Date < first || m.Date >= first+civil.Date(len(year)) {
			first = civil.Of(y, 1, 1)
			year = make([]float64, civil.Of(y+1, 1, 1)-first)
			for i := range year {
				year[i] = math.NaN()
			}
			out[y] = year
		}
		year[m.Date-first] = m.MeanC
	}
	return out
}
