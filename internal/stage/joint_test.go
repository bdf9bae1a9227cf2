package stage_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"budcall/internal/stage"
)

// apart is reports in groups that have their years to themselves, and the same
// as one list in which sites, trees and years are told apart by group.
func apart(t *rapid.T) (groups [][]stage.Past, all []stage.Past) {
	groups = make([][]stage.Past, 3)
	for g := range groups {
		groups[g] = anyPast(t, rapid.IntRange(0, 10).Draw(t, "reports"))
		for _, p := range groups[g] {
			p.Site, p.Tree, p.Year = p.Site+3*g, p.Tree+6*g, p.Year+100*g
			all = append(all, p)
		}
	}
	return groups, all
}

// Groups that share the stage means alone meet the conditioning of all their
// reports at once, where no two groups have a year in common; so does a group
// that is added to others.
func TestGroupsApartMeetAllAtOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := twoStages()
		groups, all := apart(t)
		joint, err := stage.ConditionApart(e, groups)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := stage.Condition(e, all)
		if err != nil {
			t.Fatal(err)
		}
		for g := range groups {
			known, err := joint.Of(g)
			if err != nil {
				t.Fatal(err)
			}
			alike(t, known, stage.Plant{Site: 1, Tree: 2}, whole, stage.Plant{Site: 1 + 3*g, Tree: 2 + 6*g})
			if !near(known.LogLikelihood(), whole.LogLikelihood(), 1e-6) {
				t.Fatalf("log likelihood %g, of all at once %g", known.LogLikelihood(), whole.LogLikelihood())
			}
		}
		others, err := stage.ConditionApart(e, groups[:2])
		if err != nil {
			t.Fatal(err)
		}
		added, err := others.With(groups[2])
		if err != nil {
			t.Fatal(err)
		}
		alike(t, added, stage.Plant{Site: 1, Tree: 2}, whole, stage.Plant{Site: 7, Tree: 14})
	})
}

func alike(t *rapid.T, a stage.Known, of stage.Plant, b stage.Known, as stage.Plant) {
	one, other := a.Season([]stage.Plant{of}), b.Season([]stage.Plant{as})
	for s := range 2 {
		mean, sd := one.Of(0, s)
		wantMean, wantSD := other.Of(0, s)
		if !near(mean, wantMean, 1e-8) || !near(sd, wantSD, 1e-8) || !near(one.Cov(0, 0, 0, 1), other.Cov(0, 0, 0, 1), 1e-8) {
			t.Fatalf("stage %d: %g ± %g, of all at once %g ± %g", s, mean, sd, wantMean, wantSD)
		}
	}
}

// With nothing reported the stages need what the profile says, with its spread,
// and a report in units of the spread comes back as heat.
func TestDefaultsAreTheProfile(t *testing.T) {
	stages := []stage.Stage{birch(stage.BudSwelling), birch(stage.BudBreak), birch(stage.SeedRipe)}
	b := unreported(stages)
	for i, s := range stages {
		if mean, sd := b.Of(0, i); !near(mean, math.Log(s.MedianCd), 1e-12) || !near(sd, s.LogSD, 1e-12) {
			t.Errorf("stage %s: ln heat %g ± %g", s.Code, mean, sd)
		}
	}
	// Half a spread above the median: 60·e^0.15 °C·d; a noise of 0.0009 is a hundredth of 0.3² (by hand).
	z := stages[1].Requirement().Standard(stage.Sight{Past: stage.Past{LogHeat: math.Log(60) + 0.15, NoiseVar: 0.0009}, LogRate: 1})
	if !near(z.LogHeat, 0.5, 1e-12) || !near(z.NoiseVar, 0.01, 1e-12) || !near(z.LogRate, 1-math.Log(0.3), 1e-12) {
		t.Errorf("%+v", z)
	}
}

// Positive whatever stages a profile has.
func TestDefaultEffectsArePositive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var needs []stage.Requirement
		for range rapid.IntRange(1, 9).Draw(t, "stages") {
			needs = append(needs, stage.Requirement{MedianCd: rapid.Float64Range(1, 5000).Draw(t, "median"), LogSD: rapid.Float64Range(0.01, 1.5).Draw(t, "spread")})
		}
		e := stage.DefaultEffects(needs)
		for _, m := range []*mat.SymDense{e.Year, e.Residual} {
			var chol mat.EigenSym
			if !chol.Factorize(m, false) || chol.Values(nil)[0] < -1e-12 {
				t.Fatalf("of %v: %v", needs, chol.Values(nil))
			}
		}
	})
}
