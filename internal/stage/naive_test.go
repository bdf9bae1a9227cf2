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
				c = member[i]
			}
			if heat += in.Stage.Heat.Rule.OfMean(c); heat > 0 {
				by[i] += need.CDF(math.Log(heat)) / float64(len(in.Members.TempC))
			}
		}
	}
	return by
}
