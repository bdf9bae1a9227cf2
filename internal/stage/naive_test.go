package stage_test

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// input is one stage of which nothing was reported, in its own heat alone.
type input struct {
	Stage    stage.Stage
	Season   int
	Issued   civil.Date
	Observed []weather.Day
	Members  ensemble.Members
	Horizon  int // days from the stage's start on
}

// spring is the same as the engine is given it.
func (in input) spring() stage.Spring {
	m := ensemble.Members{From: in.Members.From, Years: in.Members.Years}
	for _, t := range in.Members.TempC {
		m.TempC = append(m.TempC, t[:max(0, min(in.Horizon, len(t)))])
	}
	first := civil.Of(in.Season, 1, 1)
	means := make([]float64, 366)
	for i := range means {
		means[i] = math.NaN()
	}
	for _, d := range in.Observed {
		if c, _, ok := d.Mean(); ok && d.Date.Year() == in.Season {
			means[d.Date-first] = c
		}
	}
	s := stage.Spring{
		Stages: []stage.Stage{in.Stage}, Year: in.Season, Issued: in.Issued, MeansC: means,
		Members: func(civil.MonthDay) ensemble.Members { return m },
	}
	s.Heats = []stage.Counted{{Weight: 1, Warmths: []stage.Warmth{in.Stage.Warmth()}, Belief: unreported(s.Stages)}}
	return s
}

// unreported is what is believed where nobody ever reported anything.
func unreported(stages []stage.Stage) stage.Belief {
	var needs []stage.Requirement
	for _, s := range stages {
		needs = append(needs, s.Requirement())
	}
	known, err := stage.Condition(stage.DefaultEffects(needs), nil)
	if err != nil {
		panic(err)
	}
	return known.Season([]stage.Plant{{Tree: -1}}).InHeat(needs)
}

// kernelError is what the chances of the fast kernel may be off by.
const kernelError = 2.1e-7

// mustIssue issues as the engine does, and holds it to the plain loop.
func mustIssue(t rapid.TB, in input) ensemble.Days {
	t.Helper()
	days, err := in.spring().Days([]stage.Ask{{}})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range plainLoop(in) {
		if got := days[0].By[i]; !near(got, p, kernelError) {
			t.Fatalf("day %d: %.9f, by the plain loop %.9f", i, got, p)
		}
	}
	return days[0]
}

// plainLoop is the distribution by a loop over days and members that saves no work:
// the oracle of what the engine does faster.
func plainLoop(in input) []float64 {
	need := distuv.Normal{Mu: math.Log(in.Stage.MedianCd), Sigma: in.Stage.LogSD}
	by := make([]float64, max(0, min(in.Horizon, len(in.Members.TempC[0]))))
	known := map[civil.Date]float64{}
	for _, d := range in.Observed {
		if mean, _, ok := d.Mean(); ok && d.Date < in.Issued {
			known[d.Date] = mean
		}
	}
	for _, member := range in.Members.TempC {
		var heat float64
		for i := range by {
			c, ok := known[in.Members.From+civil.Date(i)]
			if !ok {
				c = member[i] + in.expected(known, member, i)
			}
			if heat += in.Stage.Heat.Rule.OfMean(c); heat > 0 {
				by[i] += need.CDF(math.Log(heat)) / float64(len(in.Members.TempC))
			}
		}
	}
	return by
}

// expected is by how much a day that isn't known, and lies before the issue, is
// expected to differ from a member's, by the nearest days that are known: the
// conditional mean of a Gaussian process with covariance 0.7^distance.
func (in input) expected(known map[civil.Date]float64, member []float64, day int) float64 {
	end := min(len(member), int(in.Issued-in.Members.From))
	if day >= end {
		return 0
	}
	var at []int
	for i := day; i >= 0; i-- {
		if _, ok := known[in.Members.From+civil.Date(i)]; ok {
			at = append(at, i)
			break
		}
	}
	for i := day; i < end; i++ {
		if _, ok := known[in.Members.From+civil.Date(i)]; ok {
			at = append(at, i)
			break
		}
	}
	cov := func(i, k int) float64 { return math.Pow(0.7, math.Abs(float64(i-k))) }
	apart := func(i int) float64 { return known[in.Members.From+civil.Date(i)] - member[i] }
	switch len(at) {
	case 1:
		return cov(day, at[0]) * apart(at[0])
	case 2: // [c₀ c₁]·[[1 r] [r 1]]⁻¹·[a₀ a₁]
		r, c0, c1 := cov(at[0], at[1]), cov(day, at[0]), cov(day, at[1])
		return ((c0-r*c1)*apart(at[0]) + (c1-r*c0)*apart(at[1])) / (1 - r*r)
	}
	return 0
}
