package ensemble_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

func TestLeavingOneSeasonOutKeepsTheOthers(t *testing.T) {
	september := civil.MonthDay{Month: 9, Day: 1}
	days := daily(civil.Of(2028, 1, 1), civil.Of(2034, 1, 1), func(civil.Date) float64 { return 10 })
	for _, row := range []struct {
		name string
		a    ensemble.Alignment
		want []int
	}{
		{"as it was then: earlier years only", ensemble.Alignment{Start: march1, Year: 2031, Horizon: 200}, []int{2028, 2029, 2030}},
		{"later years too", ensemble.Alignment{Start: march1, Year: 2031, Horizon: 200, Others: true}, []int{2028, 2029, 2030, 2032, 2033}},
		{"a window over New Year that reaches into the season left out goes with it", ensemble.Alignment{Start: september, Year: 2031, Horizon: 200, Others: true}, []int{2028, 2029, 2032}},
		{"a window longer than a year loses the year after too", ensemble.Alignment{Start: september, Year: 2031, Horizon: 400, Others: true}, []int{2028, 2029}},
		{"the first year may be left out", ensemble.Alignment{Start: march1, Year: 2028, Horizon: 200, Others: true}, []int{2029, 2030, 2031, 2032, 2033}},
		{"a window of a day leaves its season out as well", ensemble.Alignment{Start: march1, Year: 2031, Horizon: 1, Others: true}, []int{2028, 2029, 2030, 2032, 2033}},
	} {
		if m := ensemble.FromMeans(days, row.a); !slices.Equal(m.Years, row.want) {
			t.Errorf("%s: %v, want %v", row.name, m.Years, row.want)
		}
	}
}

// A steady warming of 0.04 K a year is taken out exactly from both sides, and
// the season left out, which was 20 K too warm, has no say in it.
func TestATrendDoesNotSeeTheSeasonLeftOut(t *testing.T) {
	days := daily(civil.Of(2010, 1, 1), civil.Of(2034, 1, 1), func(d civil.Date) float64 {
		if d.Year() == 2020 {
			return 30
		}
		return 3 + 0.04*float64(d.Year()-2000)
	})
	m := ensemble.FromMeans(days, ensemble.Alignment{Start: march1, Year: 2020, Horizon: 200, Others: true})
	if len(m.Years) != 23 {
		t.Fatalf("members of %v", m.Years)
	}
	for k, y := range m.Years {
		if got := m.TempC[k][100]; math.Abs(got-3.8) > 1e-9 { // by hand: 3 + 0.04·20
			t.Errorf("%d: %g °C, want 3.8 of 2020", y, got)
		}
	}
}

// Whatever the season left out was like, all of its window, the members stay
// the same to the last bit.
func TestNothingOfTheSeasonLeftOutShapesMembers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		noise := rapid.SliceOfN(rapid.Float64Range(-30, 30), 40, 40).Draw(t, "weather")
		nonsense := rapid.OneOf(rapid.Float64(), rapid.Just(math.NaN())).Draw(t, "nonsense")
		start := rapid.SampledFrom([]civil.MonthDay{march1, newYear, {Month: 9, Day: 1}}).Draw(t, "start")
		a := ensemble.Alignment{Start: start, Year: 2020, Horizon: rapid.IntRange(1, 400).Draw(t, "horizon"), Others: true}
		days := daily(civil.Of(2010, 1, 1), civil.Of(2031, 1, 1), func(d civil.Date) float64 { return noise[int(d)*7%40] })
		before := ensemble.FromMeans(days, a)
		for i, d := range days {
			if since := d.Date - start.In(2020); d.Date.Year() == 2020 || since >= 0 && int(since) < a.Horizon {
				days[i].MeanC = nonsense
			}
		}
		if after := ensemble.FromMeans(days, a); !reflect.DeepEqual(before, after) || len(before.Years) == 0 {
			t.Fatalf("members of %v became %v", before.Years, after.Years)
		}
	})
}
