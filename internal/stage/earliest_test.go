package stage_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// earliest is what the earliest of n trees needs for bud break.
func earliest(n int) ensemble.Need {
	s := birch(stage.BudBreak)
	return s.Earliest(n)(ensemble.Need{MeanLog: math.Log(s.MedianCd), SD: s.LogSD})
}

func TestOneTreeIsItsOwnEarliest(t *testing.T) {
	for _, n := range []int{-1, 0, 1} {
		if got := earliest(n); got.MeanLog != math.Log(60) || got.SD != 0.30 {
			t.Errorf("%d trees need ln %g °C·d with %g", n, got.MeanLog, got.SD)
		}
	}
}

// Two trees: the greater of two Gaussians has mean 1/√π = 0.564190 and variance
// 1 − 1/π = 0.681690. τ = √0.2·0.3 = 0.134164. By hand: 60·e^(−0.134164·0.564190)
// = 55.6260 °C·d and 0.3·√(0.8 + 0.2·0.681690) = 0.290294.
func TestTheEarlierOfTwoTrees(t *testing.T) {
	got := earliest(2)
	if !near(math.Exp(got.MeanLog), 55.6260, 1e-3) || !near(got.SD, 0.290294, 1e-6) {
		t.Errorf("%.4f °C·d with %.6f, want 55.6260 with 0.290294", math.Exp(got.MeanLog), got.SD)
	}
}

// The earliest of n trees by 40,000 seeded seasons: a shared Gaussian effect of
// 4/5 of the variance and the least of n effects of 1/5 of it. Mean and SD of
// log heat within 0.006, four standard errors (0.3/√40,000 = 0.0015).
func TestTheEarliestTreeMeetsASimulation(t *testing.T) {
	for _, n := range []int{2, 3, 5, 10, 40} {
		chance := rand.New(rand.NewPCG(2031, uint64(n)))
		logs := make([]float64, 40000)
		for i := range logs {
			least := math.Inf(1)
			for range n {
				least = min(least, chance.NormFloat64())
			}
			logs[i] = math.Log(60) + 0.30*(math.Sqrt(0.8)*chance.NormFloat64()+math.Sqrt(0.2)*least)
		}
		mean, sd := stat.MeanStdDev(logs, nil)
		got := earliest(n)
		if !near(got.MeanLog, mean, 0.006) || !near(got.SD, sd, 0.006) {
			t.Errorf("%d trees: log heat %.4f ± %.4f, simulated %.4f ± %.4f", n, got.MeanLog, got.SD, mean, sd)
		}
	}
}

// More trees only ever make the earliest earlier, and thousands do no harm.
func TestMoreTreesAreEarlier(t *testing.T) {
	before := earliest(1)
	for n := 2; n <= 5000; n += 1 + n/3 {
		got := earliest(n)
		if !(got.MeanLog < before.MeanLog) || !(got.SD < before.SD) || got.SD < 0.30*math.Sqrt(0.8) {
			t.Fatalf("%d trees need ln %g °C·d with %g, fewer %g with %g", n, got.MeanLog, got.SD, before.MeanLog, before.SD)
		}
		before = got
	}
}
