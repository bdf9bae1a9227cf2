package trail_test

import (
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/trail"
)

func TestExactBinomialIntervals(t *testing.T) {
	for _, row := range []struct {
		got, of   int
		low, high float64
		by        float64
		source    string
	}{
		{5, 25, 0.068, 0.407, 5e-4, "influentialpoints.com, Confidence intervals of proportions; agrees with Conover's tables, 1999"},
		{81, 263, 0.2527, 0.3676, 5e-5, "Newcombe 1998, Statistics in Medicine 17, 857–872, table I, from memory"},
		{15, 148, 0.0578, 0.1617, 5e-5, "the same"},
		{1, 29, 0.0009, 0.1776, 5e-5, "the same"},
		{9, 10, 0.5550, 0.9975, 5e-5, "Agresti's textbook example, from memory"},
		{4, 20, 0.0573, 0.4366, 5e-5, "computed: the binomial tails solved by bisection"},
		{3, 96, 0.0065, 0.0886, 5e-5, "computed: the binomial tails solved by bisection"},
		{20, 20, 0.8316, 1, 5e-5, "Newcombe's 0/20, 0 to 0.1684, seen from the other side"},
		{0, 100, 0, 0.02951, 5e-6, "one-sided: 1 − 0.05^(1/100), computed by hand; the rule of three says 0.03"},
		{0, 1, 0, 0.95, 1e-9, "one-sided, computed by hand"},
		{0, 0, 0, 1, 0, "nothing looked at says nothing"},
	} {
		if s := trail.ShareOf(row.got, row.of); !close(s.Low, row.low, row.by) || !close(s.High, row.high, row.by) {
			t.Errorf("%d of %d: %.5f to %.5f, expected %g to %g (%s)", row.got, row.of, s.Low, s.High, row.low, row.high, row.source)
		}
	}
}

func TestRatiosOfRates(t *testing.T) {
	for _, row := range []struct {
		a                   int
		per                 float64
		b                   int
		other               float64
		estimate, low, high float64
		source              string
	}{
		{11, 800, 21, 3011, 1.971488, 0.8584264, 4.2772659, "the example on R's page of poisson.test, lung cancer in Fredericia; its output from memory"},
		// None of 20 on the same effort: p at most 1 − 0.05^(1/20) = 0.139108, so at most 0.139108/0.860892.
		{0, 10, 20, 10, 0, 0, 0.161586, "computed by hand"},
		// The same on half the effort: twice that.
		{0, 5, 20, 10, 0, 0, 0.323172, "computed by hand"},
	} {
		r, ok := trail.RatioOf(row.a, row.per, row.b, row.other)
		if !ok || !close(r.Estimate, row.estimate, 1e-6) || !close(r.Low, row.low, 1e-6) || !close(r.High, row.high, 1e-6) || r.OneSided != (row.a == 0) {
			t.Errorf("%d/%g over %d/%g: %+v, expected %g, %g to %g (%s)", row.a, row.per, row.b, row.other, r, row.estimate, row.low, row.high, row.source)
		}
	}
	for _, none := range []func() (trail.Ratio, bool){
		func() (trail.Ratio, bool) { return trail.RatioOf(3, 10, 0, 10) },
		func() (trail.Ratio, bool) { return trail.RatioOf(0, 10, 0, 10) },
		func() (trail.Ratio, bool) { return trail.RatioOf(3, 0, 5, 10) },
	} {
		if r, ok := none(); ok {
			t.Errorf("a ratio of nothing: %+v", r)
		}
	}
}

func TestIntervalsHoldTheirEstimates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		s := trail.ShareOf(x, n)
		if p := float64(x) / float64(n); !(s.Low <= p && p <= s.High && s.Low >= 0 && s.High <= 1) {
			t.Fatalf("%d of %d: %+v", x, n, s)
		}
		if mirror := trail.ShareOf(n-x, n); x > 0 && x < n && (!close(mirror.Low, 1-s.High, 1e-9) || !close(mirror.High, 1-s.Low, 1e-9)) {
			t.Fatalf("%d of %d is no mirror image: %+v, %+v", x, n, s, mirror)
		}
		b, per, other := rapid.IntRange(1, 500).Draw(t, "b"), rapid.Float64Range(0.1, 1000).Draw(t, "per"), rapid.Float64Range(0.1, 1000).Draw(t, "other")
		r, ok := trail.RatioOf(x%500, per, b, other)
		if !ok || !(r.Low <= r.Estimate && r.Estimate <= r.High) {
			t.Fatalf("%+v", r)
		}
	})
}

func TestTheIsolationCheck(t *testing.T) {
	self, ctrl := lotCode(trail.Selfing), lotCode(trail.Control)
	filled := func(b *book, lot string, filled, tested, catkins int) *book {
		return b.enter("09-01", trail.LabFilled, lot, trail.Data{Filled: &trail.Filled{Filled: filled, Tested: tested, Catkins: catkins}})
	}
	both := func() *book { return newBook().report("05-02", on("T1", 2, 1)).report("08-01", picked("T1", 2, 1)) }
	for _, row := range []struct {
		says    string
		book    *book
		verdict trail.Verdict
		atMost  float64
		by      float64
	}{
		{"nothing tested yet", both(), trail.SelfingUntried, 0, 0},
		{"only selfing tested", filled(both(), self, 20, 400, 10), trail.ControlUntried, 0, 0},
		{"no control picked", filled(newBook().report("08-01", picked("T1", 2, 0)), self, 20, 400, 10), trail.NoControl, 0, 0},
		{"no selfing picked", filled(newBook().report("08-01", picked("T1", 0, 1)), ctrl, 0, 400, 10), trail.NoSelfing, 0, 0},
		{"nothing filled in selfing bags gives no ratio", filled(filled(both(), self, 0, 400, 10), ctrl, 3, 400, 10), trail.NoneFilled, 0, 0},
		{"catkins weren't counted", filled(filled(both(), self, 20, 400, 0), ctrl, 3, 400, 10), trail.NoCatkinCount, 0, 0},
		{"nothing filled in the control: an upper bound, not 0", filled(filled(both(), self, 20, 400, 10), ctrl, 0, 400, 10), trail.Bounded, 0.161586, 1e-6}, // computed by hand above
		// p of 2 in 22: Clopper–Pearson 0.01121 to 0.29161 (the binomial tails solved by bisection), so the ratio is at most 0.29161/0.70839.
		{"some filled in the control", filled(filled(both(), self, 20, 400, 10), ctrl, 2, 400, 10), trail.Bounded, 0.41165, 1e-4},
		{"as much in the control", filled(filled(both(), self, 20, 400, 10), ctrl, 20, 400, 10), trail.NotBounded, 1, 0},
	} {
		list := trail.Fold(row.book.Events).Isolations()
		if len(list) != 1 {
			t.Errorf("%s: %d checks", row.says, len(list))
			continue
		}
		if i := list[0]; i.Verdict != row.verdict || !close(i.AtMost, row.atMost, row.by) || (i.Ratio == nil) != (row.atMost == 0) {
			t.Errorf("%s: %s, at most %g, expected %s, %g", row.says, i.Verdict, i.AtMost, row.verdict, row.atMost)
		}
	}
	if list := trail.Fold(newBook().report("05-02", on("T1", 2, 1)).Events).Isolations(); len(list) != 0 {
		t.Errorf("trees without seed are checked: %+v", list)
	}
}
