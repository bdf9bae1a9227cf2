package stage_test

import (
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// anchor is the mean day of the year, and its standard deviation in days, on
// which a heat was reached.
type anchor struct {
	name     string
	start    civil.MonthDay
	baseC    float64
	heatCd   float64
	wantDoy  float64
	wantSD   float64
	within   float64 // days, of the mean
	withinSD float64
}

func checkAnchors(t *testing.T, days []weather.Day, first, last int, rows []anchor) {
	years := map[int][]weather.Day{}
	for _, d := range days {
		years[d.Date.Year()] = append(years[d.Date.Year()], d)
	}
	for _, row := range rows {
		s := birch(stage.BudBreak)
		s.Heat.Rule.BaseC, s.Heat.Start, s.MedianCd = row.baseC, row.start, row.heatCd
		var doys []float64
		for y := first; y <= last; y++ {
			doys = append(doys, float64(reachedOn(t, s, years[y]).YearDay()))
		}
		mean, sd := stat.MeanStdDev(doys, nil)
		t.Logf("%s: day %.2f, SD %.2f", row.name, mean, sd)
		if !near(mean, row.wantDoy, row.within) || !near(sd, row.wantSD, row.withinSD) {
			t.Errorf("%s: day %.2f, SD %.2f; want %g and %g", row.name, mean, sd, row.wantDoy, row.wantSD)
		}
	}
}

// reachedOn gives the first day of a year by whose end a stage has its heat.
func reachedOn(t *testing.T, s stage.Stage, year []weather.Day) civil.Date {
	for _, d := range year {
		if heatCd, _ := stage.HeatSoFar(s, d.Date.Year(), year, d.Date); heatCd >= s.MedianCd {
			return d.Date
		}
	}
	t.Fatalf("%g °C·d aren't reached in the year of %s", s.MedianCd, year[0].Date)
	return 0
}

// Mean dates (SD) of heat sums at Helsinki-Vantaa 1981-2010, as computed
// beforehand from the same open series, to the day and a tenth.
func TestHelsinkiMeanDatesOfHeat(t *testing.T) {
	march19 := civil.MonthDay{Month: 3, Day: 19}
	checkAnchors(t, series(t, helsinki(t)), 1981, 2010, []anchor{
		{"50 °C·d above 5 from 1 January: 6 May (7.0)", newYear, 5, 50, 126, 7.0, 0.7, 0.15},
		{"100 °C·d above 5 from 1 January: 16 May (7.8)", newYear, 5, 100, 136, 7.8, 0.7, 0.15},
		{"60 °C·d above 5 from 19 March: 9 May (7.0)", march19, 5, 60, 129, 7.0, 0.7, 0.15},
		{"120 °C·d above 5 from 19 March: 20 May (7.8)", march19, 5, 120, 140, 7.8, 0.7, 0.15},
		{"60 °C·d above 3.5 from 1 March: 3 May (6.7)", march1, 3.5, 60, 123, 6.7, 0.7, 0.15},
		{"100 °C·d above 2 from 1 January: 3 May (7.1)", newYear, 2, 100, 123, 7.1, 0.7, 0.15},
		{"200 °C·d above 0 from 1 January: 5 May (8.2)", newYear, 0, 200, 125, 8.2, 0.7, 0.15},
	})
}

// The same on invented weather; the days wanted were worked out from the file
// by a second program that shares no code.
func TestInventedMeanDatesOfHeat(t *testing.T) {
	days := series(t, filepath.Join("testdata", "invented_daily_2015-2031.csv"))
	checkAnchors(t, days, 2015, 2030, []anchor{
		{"60 °C·d above 5 from 1 March", march1, 5, 60, 135.38, 9.76, 0.01, 0.01},
		{"850 °C·d above 5 from 1 January", newYear, 5, 850, 219.62, 10.42, 0.01, 0.01},
	})
}
