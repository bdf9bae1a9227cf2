package stage_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// leafAndFlower is a site in 2031 at 10 °C, 5 °C·d a day, from 1 March to the
// day of issue and beyond.
func leafAndFlower(issued civil.Date, reports ...trail.Report) stage.Spring {
	var stages []stage.Stage
	for _, code := range []stage.BBCH{stage.BudSwelling, stage.BudBreak, stage.LeavesUnfolded, stage.Flowering, stage.FloweringOver} {
		stages = append(stages, birch(code))
	}
	means := make([]float64, 365)
	for i := range means {
		means[i] = 10
	}
	s := stage.Spring{
		Stages: stages, Year: 2031, Issued: issued, MeansC: means, Reports: reports,
		Members: func(start civil.MonthDay) ensemble.Members { return constant(start, 200, 10) },
	}
	var warmths []stage.Warmth
	for _, st := range stages {
		warmths = append(warmths, st.Warmth())
	}
	s.Heats = []stage.Counted{{Weight: 1, Warmths: warmths, Belief: unreported(stages)}}
	return s
}

// chances draws the stages' requirements from the belief and keeps those that lie
// in their order and meet what was reported: the chance that each stage is
// reached by each day, of which the engine's is an approximation that must be
// good.
func (o oracle) chances(t *testing.T) (by [][]float64, kept int) {
	k := len(o.spring.Stages)
	belief := o.spring.Heats[0].Belief
	cov, mean := mat.NewSymDense(k, nil), make([]float64, k)
	for i := range k {
		mean[i], _ = belief.Of(0, i)
		for j := i; j < k; j++ {
			cov.SetSym(i, j, belief.Cov(0, i, 0, j))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		t.Fatal("the covariance isn't positive")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	chance := rand.New(rand.NewPCG(5, 11))
	z, x := mat.NewVecDense(k, nil), mat.NewVecDense(k, nil)
	by = make([][]float64, k)
	for i := range by {
		by[i] = make([]float64, 60)
	}
	for range 300_000 {
		for i := range k {
			z.SetVec(i, chance.NormFloat64())
		}
		x.MulVec(&lower, z)
		days := make([]int, k) // by the end of which 5 °C·d a day have come to what is needed
		for i := range days {
			days[i] = int(math.Ceil(math.Exp(mean[i]+x.AtVec(i))/5)) - 1
		}
		if !o.agrees(days, func(i, j int) bool { return mean[i]+x.AtVec(i) >= mean[j]+x.AtVec(j) }) {
			continue
		}
		kept++
		for i, d := range days {
			for n := max(0, d); n < len(by[i]); n++ {
				by[i][n]++
			}
		}
	}
	for i := range by {
		for n := range by[i] {
			by[i][n] /= float64(kept)
		}
	}
	return by, kept
}

type oracle struct {
	spring stage.Spring
	notYet map[int]int // stage to days after 1 March
	seen   map[int]int
}

func (o oracle) agrees(days []int, noLess func(i, j int) bool) bool {
	for _, pair := range [][2]int{{1, 0}, {2, 1}, {3, 1}, {4, 3}} { // 01 < 07 < 11, 07 ≤ 60 < 69
		if !noLess(pair[0], pair[1]) {
			return false
		}
	}
	for i, d := range days {
		if by, ok := o.seen[i]; ok && d > by {
			return false
		}
		if after, ok := o.notYet[i]; ok && d <= after {
			return false
		}
	}
	return true
}

// What visits to some stages say of the day of all others, from reports to day
// distributions, against drawing and rejecting: at 5 °C·d a day 60 °C·d come
// about on 12 March. Chances within 0.02 for what is to come; of a
// stage that was passed within 0.04, where a Gaussian hasn't its skew.
func TestReportsToDistributionsAgainstRejectionSampling(t *testing.T) {
	march := func(day int) civil.Date { return civil.Of(2031, 3, day) }
	report := func(kind trail.Kind, code stage.BBCH, day int) trail.Report {
		return trail.Report{Kind: kind, BBCH: int(code), Day: march(day)}
	}
	for _, row := range []struct {
		name    string
		reports []trail.Report
		notYet  map[int]int
		seen    map[int]int
	}{
		{"nobody went", nil, nil, nil},
		{"buds still closed when half should have broken", []trail.Report{report(trail.NotYet, stage.BudBreak, 12)}, map[int]int{1: 11}, nil},
		{"bud break early", []trail.Report{report(trail.NotYet, stage.BudBreak, 5), report(trail.StageSeen, stage.BudBreak, 8)}, map[int]int{1: 4, 2: 7, 3: 7, 4: 7}, map[int]int{1: 7}},
		{"swelling late, not yet broken", []trail.Report{report(trail.NotYet, stage.BudSwelling, 7), report(trail.StageSeen, stage.BudSwelling, 10)}, map[int]int{0: 6, 1: 9, 2: 9, 3: 9, 4: 9}, map[int]int{0: 9}},
		{"flowers not yet on the 22nd", []trail.Report{report(trail.StageSeen, stage.BudBreak, 16), report(trail.NotYet, stage.Flowering, 22)}, map[int]int{2: 15, 3: 21, 4: 21}, map[int]int{1: 15}},
	} {
		s := leafAndFlower(march(23), row.reports...)
		asks := make([]stage.Ask, len(s.Stages))
		for i := range asks {
			asks[i].Stage = i
		}
		days, err := s.Days(asks)
		if err != nil {
			t.Fatal(err)
		}
		want, kept := oracle{s, row.notYet, row.seen}.chances(t)
		if kept < 5000 {
			t.Fatalf("%s: only %d of the drawn agree", row.name, kept)
		}
		for i, st := range s.Stages {
			got := stage.Truncate(days[i], stage.BoundsOf(row.reports, st.Code))
			worst, at := 0.0, 0
			for n := range want[i] {
				if off := math.Abs(got.On(march(1)+civil.Date(n)) - want[i][n]); off > worst {
					worst, at = off, n
				}
			}
			most := 0.02
			if stage.BoundsOf(row.reports, st.Code).Seen != 0 {
				most = 0.04
			}
			if worst > most+3*0.5/math.Sqrt(float64(kept)) {
				t.Errorf("%s: stage %s is off by %.4f on day %d: %.4f, drawn %.4f", row.name, st.Code, worst, at, got.On(march(1)+civil.Date(at)), want[i][at])
			}
		}
	}
}

// Whatever is reported, no forecast lets a stage come before one that it
// follows, and chances stay chances.
func TestNoForecastIsOutOfOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var reports []trail.Report
		for range rapid.IntRange(0, 5).Draw(t, "reports") {
			reports = append(reports, trail.Report{
				Kind: rapid.SampledFrom([]trail.Kind{trail.StageSeen, trail.NotYet}).Draw(t, "kind"),
				BBCH: rapid.SampledFrom([]int{1, 7, 11, 60, 69}).Draw(t, "stage"),
				Day:  civil.Of(2031, 3, 1) + civil.Date(rapid.IntRange(0, 40).Draw(t, "day")),
			})
		}
		s := leafAndFlower(civil.Of(2031, 3, 1)+41, reports...)
		asks := make([]stage.Ask, len(s.Stages))
		for i := range asks {
			asks[i].Stage = i
		}
		days, err := s.Days(asks)
		if err != nil {
			t.Fatal(err)
		}
		for i, st := range s.Stages {
			days[i] = stage.Truncate(days[i], stage.BoundsOf(reports, st.Code))
		}
		stage.InOrder(s.Stages, days)
		for _, pair := range [][2]int{{1, 0}, {2, 1}, {3, 1}, {4, 3}} {
			later, before := days[pair[0]], days[pair[1]]
			for day := civil.Of(2031, 2, 25); day < civil.Of(2031, 7, 1); day++ {
				if c := later.On(day); c > before.On(day) || math.IsNaN(c) || c < later.On(day-1) || c > 1 {
					t.Fatalf("stage %s on %s: %g, before %g, stage %s %g", s.Stages[pair[0]].Code, day, c, later.On(day-1), s.Stages[pair[1]].Code, before.On(day))
				}
			}
		}
	})
}
