package hindcast

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"budcall/internal/ensemble"
)

func (h *hindcast) result(cases []Case) Result {
	r := Result{
		Series: h.series(), Species: h.request.Species, Phase: h.request.Phase, Per: cmp.Or(h.request.Per, PerSite),
		Units: len(h.panel.units), Seasons: len(h.panel.years()), Notes: append([]string{}, h.panel.notes...), Cases: cases,
	}
	for _, lead := range h.request.LeadDays {
		var at []Case
		l := Lead{Lead: lead}
		for _, c := range cases {
			switch {
			case c.Lead != lead:
			case c.Gone:
				l.Gone++
			default:
				at = append(at, c)
			}
		}
		l.sum(at)
		r.Leads = append(r.Leads, l)
	}
	return r
}

// series names what was scored.
func (h *hindcast) series() string {
	if h.request.Series != "" {
		return h.request.Series
	}
	return h.request.Species + ", " + h.request.Phase
}

func (l *Lead) sum(cases []Case) {
	n := float64(len(cases))
	l.Ahead = len(cases)
	if n == 0 {
		return
	}
	for _, c := range cases {
		l.CRPS += c.CRPS / n
		l.CRPSMeanDate += c.CRPSMean / n
		l.CRPSRegression += c.CRPSRegression / n
		l.MAE += math.Abs(c.ErrorDays) / n
		l.RMSE += sq(c.ErrorDays) / n
		l.Bias += c.ErrorDays / n
		l.Width80 += c.Width80 / n
		l.Coverage80 += inside(c, 0.1, 0.9) / n
		for i := range l.PIT {
			l.PIT[i] += inside(c, float64(i)/tenths, float64(i+1)/tenths) / n
		}
	}
	l.RMSE = math.Sqrt(l.RMSE)
	l.Skill = skill(l.CRPS, min(l.CRPSMeanDate, l.CRPSRegression))
	l.bootstrap(cases)
}

func skill(mine, other float64) float64 {
	if other == 0 {
		return 0
	}
	return 1 - mine/other
}

// inside is the share of the observed day's own chance that lies between two
// quantiles.
func inside(c Case, lo, hi float64) float64 {
	return ensemble.PIT{Low: c.PITLow, High: c.PITHigh}.Inside(lo, hi)
}

// Draws of the bootstrap, always the same ones.
const (
	draws         = 1000
	bootstrapSeed = 20310401
)

// bootstrap draws years, not cases, with replacement: the cases of a year share
// its weather.
func (l *Lead) bootstrap(cases []Case) {
	type sums struct{ mine, other float64 }
	var years []sums
	at := map[int]int{}
	for _, c := range cases {
		i, ok := at[c.Year]
		if !ok {
			i = len(years)
			at[c.Year] = i
			years = append(years, sums{})
		}
		years[i].mine += c.CRPS
		if l.CRPSMeanDate <= l.CRPSRegression {
			years[i].other += c.CRPSMean
		} else {
			years[i].other += c.CRPSRegression
		}
	}
	chance := rand.New(rand.NewPCG(bootstrapSeed, uint64(l.Lead)))
	var all []float64
	for range draws {
		var s sums
		for range years {
			y := years[chance.IntN(len(years))]
			s.mine, s.other = s.mine+y.mine, s.other+y.other
		}
		all = append(all, skill(s.mine, s.other))
	}
	slices.Sort(all)
	l.SkillLow, l.SkillHigh = all[draws*25/1000], all[draws*975/1000-1]
}
