package stage

import (
	"cmp"
	"math"
	"slices"
)

// Skill is how the forecasts of a stage did at a lead, on the mean of all
// sites that reported it.
type Skill struct {
	Code     BBCH // 0 where stages are pooled
	Lead     int  // days before the reported day
	N        int  // forecasts scored
	CRPS     float64
	Inside80 float64 // share of what was seen between P10 and P90; honest is 0.8

	Timed        int     // of N, with a median within the year
	ErrorDays    float64 // on the mean of these, median less reported day: above 0 is late
	AbsErrorDays float64

	// Of N, those with baselines, and on them alone, in days: ours against theirs.
	Compared                                   int
	ComparedCRPS, CRPSMeanDate, CRPSRegression float64
	Computed                                   int // of Compared, against past dates that were computed and not seen
}

// Against is the mean CRPS of the better baseline.
func (s Skill) Against() float64 { return min(s.CRPSMeanDate, s.CRPSRegression) }

// Skill is 1 − CRPS/CRPS of the better baseline: 1 is perfect, 0 no better, and
// below 0 worse. It is false where nothing could be compared.
func (s Skill) Skill() (float64, bool) {
	if s.Compared == 0 || s.Against() == 0 {
		return 0, false
	}
	return 1 - s.ComparedCRPS/s.Against(), true
}

// SkillOf averages scores by stage and lead, stages in ascending order, leads
// in descending.
func SkillOf(scores []Score) []Skill {
	all := make([]Skill, len(scores))
	for i, s := range scores {
		all[i] = Skill{Code: s.Code, Lead: s.Lead, N: 1, CRPS: s.CRPS, Inside80: s.Inside80()}
		if !math.IsNaN(s.ErrorDays) {
			all[i].Timed, all[i].ErrorDays, all[i].AbsErrorDays = 1, s.ErrorDays, math.Abs(s.ErrorDays)
		}
		if s.Basis == BasisNone {
			continue
		}
		all[i].Compared, all[i].ComparedCRPS, all[i].CRPSMeanDate, all[i].CRPSRegression = 1, s.CRPS, s.CRPSMeanDate, s.CRPSRegression
		if s.Basis == BasisComputed {
			all[i].Computed = 1
		}
	}
	return pool(all, func(s Skill) Skill { return Skill{Code: s.Code, Lead: s.Lead} })
}

// Pool averages over stages, each forecast counting alike.
func Pool(skills []Skill) []Skill {
	return pool(skills, func(s Skill) Skill { return Skill{Lead: s.Lead} })
}

func pool(skills []Skill, key func(Skill) Skill) []Skill {
	at := map[Skill]int{}
	var out []Skill
	for _, s := range skills {
		k := key(s)
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, k)
		}
		out[i] = out[i].with(s)
	}
	slices.SortFunc(out, func(a, b Skill) int { return cmp.Or(cmp.Compare(a.Code, b.Code), cmp.Compare(b.Lead, a.Lead)) })
	return out
}

// with is the mean of two skills, weighed by what each counts.
func (s Skill) with(t Skill) Skill {
	mean := func(a float64, n int, b float64, m int) float64 {
		if m == 0 {
			return a
		}
		return a + (b-a)*float64(m)/float64(n+m)
	}
	return Skill{
		Code: s.Code, Lead: s.Lead, N: s.N + t.N, Timed: s.Timed + t.Timed, Compared: s.Compared + t.Compared, Computed: s.Computed + t.Computed,
		CRPS: mean(s.CRPS, s.N, t.CRPS, t.N), Inside80: mean(s.Inside80, s.N, t.Inside80, t.N),
		ErrorDays: mean(s.ErrorDays, s.Timed, t.ErrorDays, t.Timed), AbsErrorDays: mean(s.AbsErrorDays, s.Timed, t.AbsErrorDays, t.Timed),
		ComparedCRPS:   mean(s.ComparedCRPS, s.Compared, t.ComparedCRPS, t.Compared),
		CRPSMeanDate:   mean(s.CRPSMeanDate, s.Compared, t.CRPSMeanDate, t.Compared),
		CRPSRegression: mean(s.CRPSRegression, s.Compared, t.CRPSRegression, t.Compared),
	}
}
