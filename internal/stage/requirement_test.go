package stage_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"budcall/internal/stage"
)

// Two stages of invented plants; the numbers mean nothing.
func twoStages() stage.Effects {
	return stage.Effects{
		MeanLog: []float64{4.1, 4.6}, MeanVar: 0.5, MeanShared: 0.3, SiteVar: 0.02, TreeVar: 0.01,
		Year:     mat.NewSymDense(2, []float64{0.03, 0.02, 0.02, 0.04}),
		Residual: mat.NewSymDense(2, []float64{0.02, 0.008, 0.008, 0.015}),
	}
}

// anyPast draws reports of past seasons from three sites with two trees each.
func anyPast(t *rapid.T, n int) []stage.Past {
	past := make([]stage.Past, n)
	for i := range past {
		site := rapid.IntRange(0, 2).Draw(t, "site")
		past[i] = stage.Past{
			Site: site, Tree: 2*site + rapid.IntRange(0, 1).Draw(t, "tree"), Year: rapid.IntRange(2020, 2025).Draw(t, "year"),
			Stage: rapid.IntRange(0, 1).Draw(t, "stage"), LogHeat: rapid.Float64Range(3, 5).Draw(t, "log heat"), NoiseVar: rapid.Float64Range(0.0001, 0.01).Draw(t, "noise"),
		}
	}
	return past
}

// jointCov is the covariance of two reports written out from the words of the
// model, sharing no code with the program.
func jointCov(e stage.Effects, p, q stage.Past) (c float64) {
	c = e.MeanShared
	if p.Stage == q.Stage {
		c += e.MeanVar
	}
	if p.Site == q.Site {
		c += e.SiteVar
	}
	if p.Tree == q.Tree {
		c += e.TreeVar
	}
	if p.Year == q.Year {
		c += e.Year.At(p.Stage, q.Stage)
		if p.Site == q.Site && p.Tree == q.Tree {
			c += e.Residual.At(p.Stage, q.Stage)
		}
	}
	return c
}

// Conditioning year by year meets the textbook formula on the joint Gaussian of
// all reports and the new season (solved whole by gonum), and so does the log
// likelihood.
func TestConditioningMeetsTheWholeJointGaussian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := twoStages()
		past := anyPast(t, rapid.IntRange(1, 25).Draw(t, "reports"))
		n := len(past)
		cov, departure := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
		for i, p := range past {
			departure.SetVec(i, p.LogHeat-e.MeanLog[p.Stage])
			for j := i; j < n; j++ {
				c := jointCov(e, p, past[j])
				if i == j {
					c += p.NoiseVar
				}
				cov.SetSym(i, j, c)
			}
		}
		var chol mat.Cholesky
		if !chol.Factorize(cov) {
			t.Fatal("the covariance isn't positive")
		}
		known, err := stage.Condition(e, past)
		if err != nil {
			t.Fatal(err)
		}
		belief := known.Season([]stage.Plant{{Site: 1, Tree: 2}, {Site: 7, Tree: 90}})
		for plant, target := range []stage.Past{{Site: 1, Tree: 2}, {Site: 7, Tree: 90}} {
			for s := range 2 {
				target.Stage, target.Year = s, 2031
				with, solved := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
				for i, p := range past {
					with.SetVec(i, jointCov(e, target, p))
				}
				if err := chol.SolveVecTo(solved, with); err != nil {
					t.Fatal(err)
				}
				wantMean := e.MeanLog[s] + mat.Dot(solved, departure)
				wantVar := jointCov(e, target, target) - mat.Dot(solved, with)
				mean, sd := belief.Of(plant, s)
				if !near(mean, wantMean, 1e-8) || !near(sd*sd, wantVar, 1e-8) {
					t.Fatalf("plant %d, stage %d: %g ± %g, want %g ± %g", plant, s, mean, sd, wantMean, math.Sqrt(wantVar))
				}
			}
		}
		solved := mat.NewVecDense(n, nil)
		if err := chol.SolveVecTo(solved, departure); err != nil {
			t.Fatal(err)
		}
		want := -(chol.LogDet() + mat.Dot(solved, departure) + float64(n)*math.Log(2*math.Pi)) / 2
		if got := known.LogLikelihood(); !near(got, want, 1e-6) {
			t.Fatalf("log likelihood %g, want %g", got, want)
		}
	})
}

// One site, one stage, three seasons, by hand: with variances 1 (mean), 0.5
// (site), 0.2 (year) and 0.3 (residual), the mean of ln heat of the seasons is
// known with variance (0.2+0.3)/3, so that the new season stands at
// 1.5/(1.5+1/6)·0.6 = 0.54 above the prior with variance 0.15 + 0.5.
func TestThreeSeasonsByHand(t *testing.T) {
	e := stage.Effects{MeanLog: []float64{4}, MeanVar: 1, SiteVar: 0.5, Year: mat.NewSymDense(1, []float64{0.2}), Residual: mat.NewSymDense(1, []float64{0.3})}
	var past []stage.Past
	for i, y := range []float64{4.3, 4.6, 4.9} {
		past = append(past, stage.Past{Tree: -1, Year: 2020 + i, LogHeat: y})
	}
	known, err := stage.Condition(e, past)
	if err != nil {
		t.Fatal(err)
	}
	mean, sd := known.Season([]stage.Plant{{Tree: -1}}).Of(0, 0)
	if !near(mean, 4.54, 1e-9) || !near(sd*sd, 0.65, 1e-9) {
		t.Errorf("%g with variance %g, want 4.54 and 0.65", mean, sd*sd)
	}
}

func TestReportsThatCannotBeLearnedFrom(t *testing.T) {
	for _, row := range []struct {
		name string
		past stage.Past
		e    stage.Effects
	}{
		{"of a stage that has no effects", stage.Past{Stage: 2, LogHeat: 4}, twoStages()},
		{"without heat", stage.Past{LogHeat: math.NaN()}, twoStages()},
		{"under effects that aren't positive", stage.Past{LogHeat: 4}, stage.Effects{MeanLog: []float64{4}, Year: mat.NewSymDense(1, []float64{-1}), Residual: mat.NewSymDense(1, []float64{0})}},
	} {
		if _, err := stage.Condition(row.e, []stage.Past{row.past}); err == nil {
			t.Errorf("a report %s was taken", row.name)
		}
	}
}

// planted draws seasons of ten sites from known effects.
func planted(years int, siteVar, yearVar, residualVar float64) (past []stage.Past) {
	chance := rand.New(rand.NewPCG(7, 1))
	site := make([]float64, 10)
	for i := range site {
		site[i] = chance.NormFloat64() * math.Sqrt(siteVar)
	}
	for y := range years {
		year := chance.NormFloat64() * math.Sqrt(yearVar)
		for i, s := range site {
			past = append(past, stage.Past{Site: i, Tree: -1, Year: 1900 + y, LogHeat: 4.2 + s + year + chance.NormFloat64()*math.Sqrt(residualVar), NoiseVar: 1e-6})
		}
	}
	return past
}

func oneStage(v float64) stage.Effects {
	one := func() *mat.SymDense { return mat.NewSymDense(1, []float64{v}) }
	return stage.Effects{MeanLog: []float64{4}, MeanVar: 1, SiteVar: v, Year: one(), Residual: one()}
}

// From 200 planted seasons the variances come back: their own sampling errors
// are √(2/200) = 10 % of the year's and √(2/1800) = 3 % of the residual's; the
// bounds are three of them. With no seasons to speak of, the given ones stay.
func TestEffectsAreFoundAgain(t *testing.T) {
	known, err := stage.Estimate(oneStage(0.02), planted(200, 0.04, 0.09, 0.01), stage.DefaultWeights)
	if err != nil {
		t.Fatal(err)
	}
	e := known.Effects()
	if got := e.Year.At(0, 0); !near(got, 0.09, 0.027) {
		t.Errorf("variance of years %g, want 0.09", got)
	}
	if got := e.Residual.At(0, 0); !near(got, 0.01, 0.001) {
		t.Errorf("residual variance %g, want 0.01", got)
	}
	few, err := stage.Estimate(oneStage(0.02), planted(200, 0.04, 0.09, 0.01)[:1], stage.DefaultWeights)
	if err != nil {
		t.Fatal(err)
	}
	if got := few.Effects().Year.At(0, 0); !near(got, 0.02, 0.005) {
		t.Errorf("one report moved the variance of years to %g from 0.02", got)
	}
}

// A round of estimation never makes the reports less likely, but for the pull
// of the effects given beforehand, which is next to nothing here.
func TestEstimationClimbs(t *testing.T) {
	w := stage.Weights{Site: 1e-6, Tree: 1e-6, Year: 1e-6, Residual: 1e-6}
	past := planted(20, 0.04, 0.09, 0.01)
	last := math.Inf(-1)
	for w.Rounds = range 12 {
		known, err := stage.Estimate(oneStage(0.03), past, w)
		if err != nil {
			t.Fatal(err)
		}
		if l := known.LogLikelihood(); l < last-1e-6 {
			t.Fatalf("round %d: log likelihood fell from %g to %g", w.Rounds, last, l)
		} else {
			last = l
		}
	}
}

// rejected draws from a belief and keeps what lies within all limits: the
// oracle of moment matching. It returns means and standard deviations.
func rejected(b stage.Belief, limits []stage.Limit, plants, draws int) (mean, sd [][]float64, kept int) {
	n := 2 * plants
	cov := mat.NewSymDense(n, nil)
	centre := make([]float64, n)
	for i := range n {
		centre[i], _ = b.Of(i/2, i%2)
		for j := i; j < n; j++ {
			cov.SetSym(i, j, b.Cov(i/2, i%2, j/2, j%2))
		}
	}
	var chol mat.Cholesky
	chol.Factorize(cov)
	var lower mat.TriDense
	chol.LTo(&lower)
	chance := rand.New(rand.NewPCG(3, 9))
	all := make([][]float64, n)
	z, x := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for range draws {
		for i := range n {
			z.SetVec(i, chance.NormFloat64())
		}
		x.MulVec(&lower, z)
		ok := true
		for _, l := range limits {
			v := centre[2*l.Plant+l.Stage] + x.AtVec(2*l.Plant+l.Stage)
			if l.Less > 0 {
				v -= centre[2*l.Plant+l.Less-1] + x.AtVec(2*l.Plant+l.Less-1)
			}
			ok = ok && v > l.Lo && v <= l.Hi
		}
		if !ok {
			continue
		}
		kept++
		for i := range n {
			all[i] = append(all[i], centre[i]+x.AtVec(i))
		}
	}
	for p := range plants {
		m0, s0 := stat.MeanStdDev(all[2*p], nil)
		m1, s1 := stat.MeanStdDev(all[2*p+1], nil)
		mean, sd = append(mean, []float64{m0, m1}), append(sd, []float64{s0, s1})
	}
	return mean, sd, kept
}

// What this season's reports of some stages say of the others, against drawing
// and rejecting: means within 0.01, standard deviations within 1 %.
func TestSeasonsReportsAgainstRejectionSampling(t *testing.T) {
	known, err := stage.Condition(twoStages(), []stage.Past{
		{Site: 0, Tree: 0, Year: 2029, Stage: 0, LogHeat: 4.0, NoiseVar: 0.001}, {Site: 0, Tree: 0, Year: 2029, Stage: 1, LogHeat: 4.5, NoiseVar: 0.001},
		{Site: 1, Tree: 1, Year: 2029, Stage: 0, LogHeat: 4.2, NoiseVar: 0.001}, {Site: 0, Tree: 0, Year: 2030, Stage: 0, LogHeat: 4.1, NoiseVar: 0.001},
	})
	if err != nil {
		t.Fatal(err)
	}
	inf := math.Inf(1)
	before := known.Season([]stage.Plant{{Site: 0, Tree: 0}, {Site: 1, Tree: 1}, {Site: 2, Tree: 2}})
	for _, row := range []struct {
		name   string
		limits []stage.Limit
	}{
		{"one stage not yet there", []stage.Limit{{Plant: 0, Stage: 0, Lo: 4.2, Hi: inf}}},
		{"one stage seen", []stage.Limit{{Plant: 0, Stage: 0, Lo: 3.7, Hi: 3.9}}},
		{"seen at one plant, not yet at another", []stage.Limit{{Plant: 0, Stage: 0, Lo: 3.8, Hi: 4.0}, {Plant: 1, Stage: 0, Lo: 4.1, Hi: inf}}},
		{"the first stage seen, the second not yet", []stage.Limit{{Plant: 1, Stage: 0, Lo: 3.9, Hi: 4.2}, {Plant: 1, Stage: 1, Lo: 4.3, Hi: inf}}},
		{"in their order", []stage.Limit{{Plant: 0, Stage: 1, Less: 1, Lo: 0, Hi: inf}}},
		{"in their order, and the first not yet there", []stage.Limit{{Plant: 0, Stage: 1, Less: 1, Lo: 0, Hi: inf}, {Plant: 0, Stage: 0, Lo: 4.2, Hi: inf}}},
	} {
		after := before.Given(row.limits)
		mean, sd, kept := rejected(before, row.limits, 3, 400_000)
		for p := range 3 {
			for s := range 2 {
				m, d := after.Of(p, s)
				if !near(m, mean[p][s], 0.01) || !near(d/sd[p][s], 1, 0.01+3/math.Sqrt(2*float64(kept))) {
					t.Errorf("%s: plant %d, stage %d: %.4f ± %.4f, of %d drawn %.4f ± %.4f", row.name, p, s, m, d, kept, mean[p][s], sd[p][s])
				}
			}
		}
	}
}

// A limit shifts every other requirement by the sign of their covariance, narrows
// what it is about, and one that says nothing moves nothing.
func TestLimitsMoveTheRightWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		known, err := stage.Condition(twoStages(), anyPast(t, rapid.IntRange(1, 12).Draw(t, "reports")))
		if err != nil {
			t.Fatal(err)
		}
		before := known.Season([]stage.Plant{{Site: 0, Tree: 0}, {Site: 1, Tree: 2}})
		mean, sd := before.Of(0, 0)
		lo := mean + sd*rapid.Float64Range(-3, 12).Draw(t, "visit")
		after := before.Given([]stage.Limit{{Plant: 0, Stage: 0, Lo: lo, Hi: math.Inf(1)}})
		now, spread := after.Of(0, 0)
		other, _ := before.Of(1, 1)
		moved, _ := after.Of(1, 1)
		if now < mean || spread > sd || (moved-other)*before.Cov(0, 0, 1, 1) < -1e-12 || math.IsNaN(now) || !(spread > 0) {
			t.Fatalf("not yet at %g: %g ± %g became %g ± %g, another %g became %g", lo, mean, sd, now, spread, other, moved)
		}
		same, _ := before.Given([]stage.Limit{{Plant: 0, Stage: 0, Lo: math.Inf(-1), Hi: math.Inf(1)}}).Of(1, 0)
		if was, _ := before.Of(1, 0); !near(same, was, 1e-12) {
			t.Fatalf("a report that says nothing moved %g to %g", was, same)
		}
	})
}
