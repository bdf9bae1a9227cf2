package stage_test

import (
	"math"
	"testing"

	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

func TestSkillOverSites(t *testing.T) {
	nan := math.NaN()
	scores := []stage.Score{
		{Code: 7, Lead: 14, ErrorDays: 2, CRPS: 1, CRPSMeanDate: 3, CRPSRegression: 2, Basis: stage.BasisSeen, PIT: ensemble.PIT{Low: 0.4, High: 0.5}},
		{Code: 7, Lead: 14, ErrorDays: -4, CRPS: 2, CRPSMeanDate: 3, CRPSRegression: 6, Basis: stage.BasisComputed, PIT: ensemble.PIT{Low: 0.8, High: 1}},
		{Code: 7, Lead: 14, ErrorDays: nan, CRPS: 9, CRPSMeanDate: nan, CRPSRegression: nan, Basis: stage.BasisNone},
		{Code: 60, Lead: 14, ErrorDays: 1, CRPS: 4, CRPSMeanDate: 2, CRPSRegression: 4, Basis: stage.BasisSeen, PIT: ensemble.PIT{Low: 0.1, High: 0.2}},
		{Code: 60, Lead: 3, ErrorDays: 0, CRPS: 1, CRPSMeanDate: nan, CRPSRegression: nan, Basis: stage.BasisNone},
	}
	all := stage.SkillOf(scores)
	if len(all) != 3 || all[0].Code != 7 || all[1].Lead != 14 || all[2].Lead != 3 {
		t.Fatalf("%+v", all)
	}
	s := all[0]
	// By hand: errors 2 and −4; CRPS 1, 2, 9; inside 1, 0.5, 0.
	for name, pair := range map[string][2]float64{
		"error": {s.ErrorDays, -1}, "absolute error": {s.AbsErrorDays, 3}, "CRPS": {s.CRPS, 4}, "inside": {s.Inside80, 0.5},
		"of those compared": {s.ComparedCRPS, 1.5}, "mean date": {s.CRPSMeanDate, 3}, "regression": {s.CRPSRegression, 4},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s: %.4f, want %.4f", name, pair[0], pair[1])
		}
	}
	if s.N != 3 || s.Timed != 2 || s.Compared != 2 || s.Computed != 1 {
		t.Errorf("%+v", s)
	}
	if got, ok := s.Skill(); !ok || math.Abs(got-0.5) > 1e-12 { // 1 − 1.5/3
		t.Errorf("skill %.4f %v, want 0.5", got, ok)
	}
	if _, ok := all[2].Skill(); ok {
		t.Error("there is a skill against nothing")
	}
	pooled := stage.Pool(all)
	// By hand: three compared, 1+2+4 against 3+3+2.
	if got, ok := pooled[0].Skill(); len(pooled) != 2 || pooled[0].N != 4 || !ok || math.Abs(got-(1-7.0/8)) > 1e-12 {
		t.Errorf("%+v: skill %.4f, want 1/8", pooled, got)
	}
}
