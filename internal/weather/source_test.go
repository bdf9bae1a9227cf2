package weather_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
)

// sourceFaults are the stretches on which the open series themselves can't be
// right: a station has the values of another date. They were noticed when the judgement
// was tried; TestTheSourceItselfIsWrong shows each of them by a computation
// that has nothing of it.
var sourceFaults = []fault{
	{shifted, "STA1", days("2019-06-28", "2019-08-08")},
	{shifted, "STA14", days("2019-07-23", "2019-12-31")},
	{shifted, "HQ", days("2019-08-01", "2019-12-31")},
	{shifted, "STA23", days("2019-07-17", "2019-08-05")},
}

func days(first, last string) civil.Range {
	return civil.Range{First: civil.MustParse(first), Last: civil.MustParse(last)}
}

func TestTheSourceItselfIsWrong(t *testing.T) {
	clean := hubbardBrook(t)
	mean := map[string]map[civil.Date]float64{}
	for s, ds := range clean {
		mean[s] = map[civil.Date]float64{}
		for _, d := range ds {
			if c, _, ok := d.Mean(); ok {
				mean[s][d.Date] = c
			}
		}
	}
	for _, f := range sourceFaults {
		if f.Kind == shifted {
			// The changes from day to day go with the others' of a day beside, and not with those of the same day.
			same, beside := changes(mean, f, 0), math.Max(changes(mean, f, 1), changes(mean, f, -1))
			if t.Logf("%s %s: the changes from day to day correlate by %.2f with the others', by %.2f with theirs of a day beside", f.Station, f.Days, same, beside); same > 0.5 || beside < 0.75 {
				t.Errorf("%s isn't shown to be misdated", f.Station)
			}
			continue
		}
		t.Errorf("no computation shows a %s of %s", f.Kind, f.Station)
	}
}

// others gives the middle of the other stations' means of a day.
func others(mean map[string]map[civil.Date]float64, but string, day civil.Date) float64 {
	var c []float64
	for s := range mean {
		if k, ok := mean[s][day]; ok && s != but {
			c = append(c, k)
		}
	}
	if len(c) < 3 {
		return math.NaN()
	}
	slices.Sort(c)
	return (c[len(c)/2] + c[(len(c)-1)/2]) / 2
}

func changes(mean map[string]map[civil.Date]float64, f fault, lag civil.Date) float64 {
	var x, y []float64
	for d := f.Days.First + 1; d < f.Days.Last; d++ {
		a, ok1 := mean[f.Station][d]
		b, ok2 := mean[f.Station][d-1]
		if o := others(mean, f.Station, d+lag) - others(mean, f.Station, d+lag-1); ok1 && ok2 && !math.IsNaN(o) {
			x, y = append(x, a-b), append(y, o)
		}
	}
	return stat.Correlation(x, y, nil)
}

// TestPlantedFaults prints, for each seed, what is caught of 200 faults planted
// into the six open series, and how many good days are doubted.
func TestPlantedFaults(t *testing.T) {
	plantedIn(t, hubbardBrook(t), 200, sourceFaults)
}

// TestPlantedFaultsInInventedSeries does the same on series of our own, so
// that it needs no file.
func TestPlantedFaultsInInventedSeries(t *testing.T) {
	plantedIn(t, invented(6, 12), 40, nil)
}
