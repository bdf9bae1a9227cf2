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

var (
	march1  = civil.MonthDay{Month: 3, Day: 1}
	newYear = civil.MonthDay{Month: 1, Day: 1}
)

// daily makes a series from a day up to before another by a formula; NaN is a
// day without a mean.
func daily(from, before civil.Date, meanC func(civil.Date) float64) []ensemble.Mean {
	var days []ensemble.Mean
	for d := from; d < before; d++ {
		days = append(days, ensemble.Mean{Date: d, MeanC: meanC(d)})
	}
	return days
}

// count is a temperature by which a day is known again.
func count(d civil.Date) float64 { return float64(d) }

// Few years, so that no trend is taken out and each value is a day's own.
func TestPastYearsAreAlignedByDaysSinceTheStart(t *testing.T) {
	days := daily(civil.Of(2028, 1, 1), civil.Of(2031, 1, 1), count)
	for _, row := range []struct {
		name    string
		start   civil.MonthDay
		running int
		day     civil.Date // of the running year
		year    int
		want    civil.Date // of the member's year
	}{
		{"from 1 March a leap year is no day off", march1, 2031, civil.Of(2031, 5, 1), 2028, civil.Of(2028, 5, 1)},
		{"from 1 March a common year is none off in a leap year", march1, 2032, civil.Of(2032, 5, 1), 2030, civil.Of(2030, 5, 1)},
		{"from 1 January the 60th day of a leap year is 29 February", newYear, 2031, civil.Of(2031, 3, 1), 2028, civil.Of(2028, 2, 29)},
		{"and all days after it lie one day earlier", newYear, 2031, civil.Of(2031, 5, 1), 2028, civil.Of(2028, 4, 30)},
		{"in a leap year 29 February is a common year's 1 March", newYear, 2032, civil.Of(2032, 2, 29), 2030, civil.Of(2030, 3, 1)},
		{"a start on 29 February is 1 March in a common year", civil.MonthDay{Month: 2, Day: 29}, 2031, civil.Of(2031, 3, 1), 2028, civil.Of(2028, 2, 29)},
	} {
		m := ensemble.FromMeans(days, ensemble.Alignment{Start: row.start, Year: row.running, Horizon: 200})
		k := slices.Index(m.Years, row.year)
		if k < 0 || m.From != row.start.In(row.running) || len(m.TempC[k]) != 200 {
			t.Fatalf("%s: members of %v from %s", row.name, m.Years, m.From)
		}
		if got := civil.Date(m.TempC[k][row.day-m.From]); got != row.want {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
}

func TestWhichYearsBecomeMembers(t *testing.T) {
	all := func(civil.Date) bool { return false }
	in := func(first, last civil.Date) func(civil.Date) bool {
		return civil.Range{First: first, Last: last}.Has
	}
	for _, row := range []struct {
		name    string
		hole    func(civil.Date) bool
		start   civil.MonthDay
		horizon int
		want    []int
	}{
		{"every year before the running one, and neither it nor a later one", all, march1, 200, []int{2028, 2029, 2030}},
		{"five days in a row are bridged", in(civil.Of(2029, 5, 1), civil.Of(2029, 5, 5)), march1, 200, []int{2028, 2029, 2030}},
		{"six days in a row leave the year out", in(civil.Of(2029, 5, 1), civil.Of(2029, 5, 6)), march1, 200, []int{2028, 2030}},
		{"a hole outside the window matters to nobody", in(civil.Of(2029, 1, 1), civil.Of(2029, 2, 28)), march1, 200, []int{2028, 2029, 2030}},
		{"twenty days here and there are bridged", every(2029, 20), march1, 200, []int{2028, 2029, 2030}},
		{"twenty-one leave the year out", every(2029, 21), march1, 200, []int{2028, 2030}},
		{"five days at the start are taken from the day after", in(civil.Of(2029, 3, 1), civil.Of(2029, 3, 5)), march1, 200, []int{2028, 2029, 2030}},
		{"a horizon to 31 December keeps last year", all, march1, 306, []int{2028, 2029, 2030}},
		{"a horizon into the running year leaves last year out", all, march1, 365, []int{2028, 2029}},
		{"no horizon, no members", all, march1, 0, nil},
		{"a horizon below nothing, no members", all, march1, -3, nil},
	} {
		days := daily(civil.Of(2028, 1, 1), civil.Of(2034, 1, 1), func(d civil.Date) float64 {
			if row.hole(d) {
				return math.NaN()
			}
			return 10
		})
		m := ensemble.FromMeans(days, ensemble.Alignment{Start: row.start, Year: 2031, Horizon: row.horizon})
		if !slices.Equal(m.Years, row.want) {
			t.Errorf("%s: %v, want %v", row.name, m.Years, row.want)
		}
		for k := range m.TempC {
			if slices.ContainsFunc(m.TempC[k], func(c float64) bool { return c != 10 }) {
				t.Errorf("%s: %d isn't 10 °C throughout", row.name, m.Years[k])
			}
		}
	}
	if m := ensemble.FromMeans(nil, ensemble.Alignment{Start: march1, Year: 2031, Horizon: 200}); len(m.TempC) != 0 {
		t.Errorf("no days gave members of %v", m.Years)
	}
}

// every gives n holes of one day, five days apart, from 1 March of a year.
func every(year, n int) func(civil.Date) bool {
	return func(d civil.Date) bool {
		i := int(d - march1.In(year))
		return i >= 0 && i%5 == 2 && i/5 < n
	}
}

// A hole of 3, 4 and 5 May between 8 °C and 12 °C becomes 9, 10 and 11 °C; one
// at the end keeps the last value. Computed by hand. A day that is absent from
// the series is a hole as one without a mean is.
func TestHolesAreBridgedByAStraightLine(t *testing.T) {
	days := daily(civil.Of(2030, 5, 1), civil.Of(2030, 5, 9), func(d civil.Date) float64 {
		return map[int]float64{1: 7, 2: 8, 3: math.NaN(), 4: math.NaN(), 5: math.NaN(), 6: 12, 7: 13, 8: math.NaN()}[d.Day()]
	})
	days = slices.Delete(days, 3, 4)
	m := ensemble.FromMeans(days, ensemble.Alignment{Start: civil.MonthDay{Month: 5, Day: 1}, Year: 2031, Horizon: 8})
	want := [][]float64{{7, 8, 9, 10, 11, 12, 13, 13}}
	if !reflect.DeepEqual(m.TempC, want) {
		t.Errorf("got %v, want %v", m.TempC, want)
	}
}

// A series that warms by 0.04 K a year and is otherwise the same every year
// comes out as the running year's own: exact, whatever the slope.
func TestATrendIsTakenOut(t *testing.T) {
	season := func(i int) float64 { return 20 * math.Sin(float64(i)/58) }
	warming := func(d civil.Date) float64 {
		return 3 + 0.04*float64(d.Year()-2000) + season(int(d-march1.In(d.Year())))
	}
	a := ensemble.Alignment{Start: march1, Year: 2031, Horizon: 200}
	m := ensemble.FromMeans(daily(civil.Of(2016, 1, 1), civil.Of(2031, 1, 1), warming), a)
	if len(m.Years) != 15 {
		t.Fatalf("%d members, want 15", len(m.Years))
	}
	for k, y := range m.Years {
		for i, got := range m.TempC[k] {
			if want := 3 + 0.04*31 + season(i); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%d, day %d: %g °C, want %g of 2031", y, i, got, want)
			}
		}
	}
}

func TestFourteenYearsShowNoTrend(t *testing.T) {
	warming := func(d civil.Date) float64 { return 0.04 * float64(d.Year()) }
	a := ensemble.Alignment{Start: march1, Year: 2031, Horizon: 200}
	m := ensemble.FromMeans(daily(civil.Of(2017, 1, 1), civil.Of(2031, 1, 1), warming), a)
	for k, y := range m.Years {
		if m.TempC[k][0] != 0.04*float64(y) {
			t.Errorf("%d: %g °C, want its own %g", y, m.TempC[k][0], 0.04*float64(y))
		}
	}
	if len(m.Years) != 14 {
		t.Errorf("%d members, want 14", len(m.Years))
	}
}

// Whatever stands in the days from the running year on, the members stay the
// same to the last bit, also where a past year's window would reach into it.
func TestNothingFromTheRunningYearOnShapesMembers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		noise := rapid.SliceOfN(rapid.Float64Range(-30, 30), 40, 40).Draw(t, "weather")
		nonsense := rapid.SliceOfN(rapid.OneOf(rapid.Float64(), rapid.Just(math.NaN())), 40, 40).Draw(t, "nonsense")
		start := rapid.SampledFrom([]civil.MonthDay{march1, newYear, {Month: 9, Day: 1}}).Draw(t, "start")
		a := ensemble.Alignment{Start: start, Year: 2031, Horizon: rapid.IntRange(1, 400).Draw(t, "horizon")}
		past := daily(civil.Of(2013, 1, 1), civil.Of(2031, 1, 1), func(d civil.Date) float64 { return noise[int(d)*7%40] })
		future := daily(civil.Of(2031, 1, 1), civil.Of(2033, 1, 1), func(d civil.Date) float64 { return nonsense[int(d)%40] })
		with := ensemble.FromMeans(append(slices.Clone(past), future...), a)
		if without := ensemble.FromMeans(past, a); !reflect.DeepEqual(with, without) {
			t.Fatalf("members of %v became %v", without.Years, with.Years)
		}
	})
}
