package stage_test

import (
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// Twenty days of 10 °C known, 5 °C·d each, of which ten stand in for a reading
// and err alike by 1 K: 100 ± 10 °C·d (computed by hand). Where it is too cold
// for heat, an error is of little weight: at 3 °C one of 1 K is of none.
func TestADoubtIsThatOfTheHeat(t *testing.T) {
	need := []ensemble.Need{{MeanLog: math.Log(100), SD: 0.1}}
	w := birch(stage.BudBreak).Warmth()
	m := constant(march1, 60, 10)
	for _, row := range []struct {
		sentence string
		knownC   float64
		doubt    weather.Doubt
		onHeats  []float64 // °C·d by the 20th day
	}{
		{"errors that are the same on all days add up", 10, weather.Doubt{LevelK: 1}, []float64{90, 110}},
		{"errors of single days add up by the root of their number", 10, weather.Doubt{DayK: 1}, []float64{100 - math.Sqrt(10), 100 + math.Sqrt(10)}},
		{"without doubt there is none", 10, weather.Doubt{}, []float64{100}},
		{"cold days leave no doubt", 3, weather.Doubt{LevelK: 1}, []float64{0}},
		// at the base a degree makes half a degree day in the mean: the heat can't fall below none
		{"days at the base are doubted by half", 5, weather.Doubt{LevelK: 1}, []float64{0, 5}},
	} {
		known, doubts := make([]float64, 20), make([]weather.Doubt, 15)
		for i := range known {
			known[i] = row.knownC
		}
		for i := range 10 {
			doubts[5+i] = row.doubt
		}
		want := 0.0
		for _, h := range row.onHeats {
			want += distuv.LogNormal{Mu: need[0].MeanLog, Sigma: need[0].SD}.CDF(h) / float64(len(row.onHeats))
		}
		got := w.ReachedInDoubt(m, known, doubts, need)[0].On(firstOfMarch + 19)
		if !near(got, want, kernelError) {
			t.Errorf("%s: %.6f, want %.6f", row.sentence, got, want)
		}
	}
}

// Whatever is doubted, chances are chances; without doubt nothing changes to
// the bit.
func TestDoubtsLeaveChances(t *testing.T) {
	w := birch(stage.BudBreak).Warmth()
	needs := []ensemble.Need{{MeanLog: math.Log(60), SD: 0.3}}
	rapid.Check(t, func(t *rapid.T) {
		seen := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-10, 25), rapid.Just(math.NaN())), 0, 60).Draw(t, "seen")
		k := rapid.Float64Range(0, 5)
		doubts := make([]weather.Doubt, rapid.IntRange(0, 60).Draw(t, "doubts"))
		none := make([]weather.Doubt, len(doubts))
		for i := range doubts {
			doubts[i] = weather.Doubt{DayK: k.Draw(t, "day"), SpellK: k.Draw(t, "spell"), LevelK: k.Draw(t, "level")}
		}
		m := constant(march1, 90, 4, 8, 12)
		d := w.ReachedInDoubt(m, seen, doubts, needs)[0]
		for i, c := range d.By {
			if math.IsNaN(c) || c < 0 || c > 1 || i > 0 && c < d.By[i-1] {
				t.Fatalf("day %d: %v", i, c)
			}
		}
		if a, b := w.Reached(m, seen, needs), w.ReachedInDoubt(m, seen, none, needs); !reflect.DeepEqual(a, b) {
			t.Fatal("no doubt changes a forecast")
		}
	})
}

// Members agree beside a reading and differ the more the farther off it is.
func TestNoReadingWidensWithTheDistanceFromOne(t *testing.T) {
	m := ensemble.Members{From: firstOfMarch, Years: []int{1, 2}, TempC: [][]float64{make([]float64, 60), make([]float64, 60)}}
	for i := range 60 {
		m.TempC[0][i], m.TempC[1][i] = 12, 20
	}
	needs := []ensemble.Need{{MeanLog: math.Log(100), SD: 0}}
	before := civil.Date(0)
	for _, silent := range []int{0, 3, 8, 12} { // of the 12 days that are over, at 16 °C: 11 °C·d each
		known := make([]float64, 12)
		for i := range known {
			if known[i] = 16; i >= 12-silent {
				known[i] = math.NaN()
			}
		}
		// the days on which the warm and the cold member reach 100 °C·d
		d := birch(stage.BudBreak).Warmth().Reached(m, known, needs)[0]
		cold, _ := d.Quantile(1)
		warm, _ := d.Quantile(0.5)
		if apart := cold - warm; apart < before {
			t.Errorf("%d days silent: %d days apart, %d with fewer", silent, apart, before)
		} else {
			before = apart
		}
	}
	if before < 4 {
		t.Errorf("%d days apart at most", before)
	}
}
