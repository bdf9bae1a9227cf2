package ensemble_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// chanceWithin is what a chance may be off by: Reached's promise.
const chanceWithin = 2e-7

// naive is what Reached is to give, day by day as the formula says: the mean
// over members of Φ((ln H − MeanLog)/SD).
func naive(logs [][]float64, n ensemble.Need, day int) float64 {
	var sum float64
	for _, row := range logs {
		switch {
		case n.SD > 0:
			sum += math.Erfc((n.MeanLog-row[day])/n.SD/math.Sqrt2) / 2
		case row[day] >= n.MeanLog:
			sum++
		}
	}
	return sum / float64(len(logs))
}

// agrees holds day distributions to the naive ones, and to what Days promises.
func agrees(t interface{ Fatalf(string, ...any) }, got []ensemble.Days, logs [][]float64, needs []ensemble.Need) (worst float64) {
	if len(got) != len(needs) {
		t.Fatalf("%d distributions for %d needs", len(got), len(needs))
	}
	for k, n := range needs {
		before := 0.0
		for i, p := range got[k].By {
			want := naive(logs, n, i)
			if off := math.Abs(p - want); !(off <= chanceWithin) {
				t.Fatalf("need %+v on day %d: %.9f, want %.9f", n, i, p, want)
			} else {
				worst = max(worst, off)
			}
			if p < before || p > 1 {
				t.Fatalf("need %+v on day %d: %.17g after %.17g", n, i, p, before)
			}
			before = p
		}
	}
	return worst
}

func logsOf(h ensemble.Heat) (logs [][]float64) {
	for m, row := range h.SumCd {
		offset := 0.0
		if m < len(h.OffsetCd) {
			offset = h.OffsetCd[m]
		}
		var l []float64
		for _, sum := range row {
			l = append(l, math.Log(sum+offset))
		}
		logs = append(logs, l)
	}
	return logs
}

// anyHeat draws members that gather nothing, little or very much, in steps or
// in drops, on from offsets that may take away what a member has at first.
func anyHeat(t *rapid.T) ensemble.Heat {
	size := rapid.IntRange(1, 230).Draw(t, "days")
	h := ensemble.Heat{From: may3}
	offsets := rapid.Bool().Draw(t, "offsets")
	for range rapid.IntRange(1, 12).Draw(t, "members") {
		most := rapid.SampledFrom([]float64{0, 1e-3, 8, 20, 3000}).Draw(t, "most a day")
		cold := rapid.IntRange(0, size).Draw(t, "days without heat")
		drawn := rapid.SliceOfN(rapid.Float64Range(0, 1), 7, 7).Draw(t, "weather")
		taken := rapid.SampledFrom([]float64{0, 0, 5, 250}).Draw(t, "taken away")
		row, sum := make([]float64, size), taken
		for i := range row {
			if i >= cold {
				sum += most * drawn[(i*5)%7]
			}
			row[i] = sum
		}
		h.SumCd = append(h.SumCd, row)
		if offsets {
			h.OffsetCd = append(h.OffsetCd, rapid.SampledFrom([]float64{0, 3, 40, 900}).Draw(t, "offset")-taken)
		}
	}
	return h
}

func anyNeeds(t *rapid.T) (needs []ensemble.Need) {
	for range rapid.IntRange(1, 8).Draw(t, "needs") {
		needs = append(needs, ensemble.Need{
			MeanLog: math.Log(rapid.SampledFrom([]float64{0.01, 5, 25, 60, 61, 210, 850, 1e5}).Draw(t, "median")),
			SD:      rapid.SampledFrom([]float64{0, 0.005, 0.08, 0.2, 0.45, 1.5}).Draw(t, "SD"),
		})
	}
	return needs
}

// The oracle: any members, needs, offsets and runs of live days, from °C·d and
// from logarithms.
func TestChancesAreThoseOfTheFormula(t *testing.T) {
	worst := 0.0
	rapid.Check(t, func(t *rapid.T) {
		h, needs := anyHeat(t), anyNeeds(t)
		logs := logsOf(h)
		sums := ensemble.Sums{From: h.From, Log: logs}
		worst = max(worst, agrees(t, sums.Reached(needs), logs, needs))
		for k, n := range needs { // a step is at one sum or the next: a rounding of the logarithm decides
			if n.SD == 0 {
				needs[k].MeanLog += 1e-7
			}
		}
		worst = max(worst, agrees(t, h.Reached(needs), logs, needs))
	})
	t.Logf("off by %.2g at most", worst)
}

// One member that passes through every chance in small steps.
func TestTheNormalDistributionAtEveryPoint(t *testing.T) {
	need := []ensemble.Need{{MeanLog: 4, SD: 0.3}}
	row := []float64{math.Inf(-1)}
	for i := range 300001 {
		row = append(row, 4+0.3*(float64(i)/20000-7.5))
	}
	logs := [][]float64{append(row, 700)}
	t.Logf("from logarithms off by %.2g at most", agrees(t, ensemble.Sums{Log: logs}.Reached(need), logs, need))
	heat := ensemble.Heat{SumCd: [][]float64{{}}}
	for _, l := range logs[0] {
		heat.SumCd[0] = append(heat.SumCd[0], math.Exp(l))
	}
	t.Logf("from °C·d off by %.2g at most", agrees(t, heat.Reached(need), logs, need))
}

func TestMembersAtTheEndsOfWhatCanBe(t *testing.T) {
	none := math.Inf(-1)
	bud := ensemble.Need{MeanLog: math.Log(60), SD: 0.3}
	sixty := math.Log(60)
	for _, row := range []struct {
		name string
		logs [][]float64
		need ensemble.Need
		want []float64
	}{
		{"no heat is no chance", [][]float64{{none, none}}, bud, []float64{0, 0}},
		{"far more than is needed is certain", [][]float64{{9, 9}, {8, 9}}, bud, []float64{1, 1}},
		{"the median is an even chance", [][]float64{{sixty}}, bud, []float64{0.5}},
		{"one day, half of the members beyond", [][]float64{{none}, {9}}, bud, []float64{0.5}},
		{"one standard deviation above the median", [][]float64{{sixty + 0.3}}, bud, []float64{0.841344746}}, // Φ(1), Abramowitz & Stegun table 26.1
		{"a need without spread is met at its mean", [][]float64{{none, 1, 2, 3}}, ensemble.Need{MeanLog: 2}, []float64{0, 0, 1, 1}},
		{"of two members the mean", [][]float64{{none, sixty}, {sixty, 9}}, bud, []float64{0.25, 0.75}},
		{"a spread that reaches every heat", [][]float64{{none, 1, 9}}, ensemble.Need{MeanLog: 1, SD: math.Inf(1)}, []float64{0, 0.5, 0.5}},
		{"no days", [][]float64{{}, {}}, bud, nil},
	} {
		got := ensemble.Sums{From: may3, Log: row.logs}.Reached([]ensemble.Need{row.need})
		if len(got) != 1 || got[0].From != may3 || len(got[0].By) != len(row.want) {
			t.Errorf("%s: %+v", row.name, got)
			continue
		}
		for i, want := range row.want {
			if math.Abs(got[0].By[i]-want) > chanceWithin {
				t.Errorf("%s: day %d is %.9f, want %.9f", row.name, i, got[0].By[i], want)
			}
		}
	}
	wide := []ensemble.Need{{MeanLog: 0, SD: 1e4}}
	if got := (ensemble.Heat{SumCd: [][]float64{{0, 0, 1}}}).Reached(wide)[0].By; got[0] != 0 || got[1] != 0 || math.Abs(got[2]-0.5) > chanceWithin {
		t.Errorf("no heat is no chance, however wide the need: %v", got)
	}
	if got := (ensemble.Sums{From: may3}).Reached([]ensemble.Need{bud, bud}); len(got) != 2 || got[1].On(may3) != 0 {
		t.Errorf("without members: %+v", got)
	}
	if got := (ensemble.Heat{From: may3, SumCd: [][]float64{{1}}}).Reached(nil); len(got) != 0 {
		t.Errorf("without needs: %+v", got)
	}
}

// What has no order or is no number gives no sensible chance, but never stops
// the program.
func TestSumsThatAreNoSumsDoNoHarm(t *testing.T) {
	nan := math.NaN()
	rapid.Check(t, func(t *rapid.T) {
		odd := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{nan, math.Copysign(nan, -1), math.Inf(1), math.Inf(-1)}))
		row := rapid.SliceOfN(odd, 1, 40).Draw(t, "sums")
		needs := []ensemble.Need{{MeanLog: odd.Draw(t, "mean"), SD: odd.Draw(t, "SD")}, {MeanLog: 4, SD: 0.3}}
		ensemble.Sums{Log: [][]float64{row}}.Reached(needs)
		ensemble.Heat{SumCd: [][]float64{row}, OffsetCd: []float64{odd.Draw(t, "offset")}}.Reached(needs)
		ensemble.Enough(needs)
	})
}

// Enough is where every need is surely met, and not much more: one step of 1 %
// less and one isn't.
func TestEnoughIsWhereEveryNeedIsMet(t *testing.T) {
	needs := []ensemble.Need{{MeanLog: 4, SD: 0.3}, {MeanLog: 5, SD: 0.1}, {MeanLog: 5.2}}
	enough := ensemble.Enough(needs)
	got := ensemble.Heat{From: civil.Of(2031, 3, 1), SumCd: [][]float64{{0, enough * 0.99, enough * (1 + 1e-12)}}}.Reached(needs)
	short := 0
	for k, d := range got {
		if d.By[2] != 1 {
			t.Errorf("need %d: %.9f at %g °C·d", k, d.By[2], enough)
		}
		if d.By[1] < 1 {
			short++
		}
	}
	if short != 1 {
		t.Errorf("%d needs are short of it at 1 %% less, want the last one", short)
	}
}

// Members cost no memory of their own: three times as many, as many pieces.
func TestMembersCostNoMemory(t *testing.T) {
	pieces := func(members int) float64 {
		h := ensemble.Heat{}
		for m := range members {
			h.SumCd = append(h.SumCd, []float64{1, 30, 60 + float64(m), 900})
		}
		needs := []ensemble.Need{{MeanLog: 4, SD: 0.3}, {MeanLog: 5, SD: 0.1}}
		return testing.AllocsPerRun(50, func() { h.Reached(needs) })
	}
	if few, many := pieces(10), pieces(30); few != many {
		t.Errorf("%g pieces of memory for 10 members, %g for 30", few, many)
	}
}
