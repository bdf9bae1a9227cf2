package stage_test

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

var (
	march1  = civil.MonthDay{Month: 3, Day: 1}
	newYear = civil.MonthDay{Month: 1, Day: 1}
)

// The silver birch numbers: base 5 °C on daily means.
func birch(code stage.BBCH) stage.Stage {
	mean5 := degreeday.Rule{Method: degreeday.Mean, Cutoff: degreeday.Horizontal, BaseC: 5, UpperC: math.NaN()}
	numbers := map[stage.BBCH]struct {
		start  civil.MonthDay
		median float64
		logSD  float64
	}{
		stage.BudSwelling:    {march1, 25, 0.45},
		stage.BudBreak:       {march1, 60, 0.30},
		stage.LeavesUnfolded: {march1, 100, 0.25},
		stage.Flowering:      {march1, 95, 0.22},
		stage.FullFlowering:  {march1, 120, 0.18},
		stage.FloweringOver:  {march1, 210, 0.17},
		stage.SeedRipe:       {newYear, 850, 0.08},
	}
	n := numbers[code]
	return stage.Stage{Code: code, Heat: degreeday.Heat{Rule: mean5, Start: n.start}, MedianCd: n.median, LogSD: n.logSD}
}

// daily makes days from a first one by a formula of the days since; NaN is a
// day without values.
func daily(from civil.Date, n int, meanC func(int) float64) []weather.Day {
	days := make([]weather.Day, n)
	for i := range days {
		days[i] = weather.Missing(from + civil.Date(i))
		days[i].MeanC = meanC(i)
	}
	return days
}

// constant members of 2031 from a start, each of one temperature throughout.
func constant(start civil.MonthDay, horizon int, temps ...float64) ensemble.Members {
	m := ensemble.Members{From: start.In(2031)}
	for k, c := range temps {
		t := make([]float64, horizon)
		for i := range t {
			t[i] = c
		}
		m.Years, m.TempC = append(m.Years, 2030-k), append(m.TempC, t)
	}
	return m
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }
