package ensemble_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// persisting makes members whose departures of a season go on from day to day:
// a course that rises by 0.1 K a day, an offset of the year and a spell.
func persisting(years, days int, seed uint64) ensemble.Members {
	chance := rand.New(rand.NewPCG(seed, 1))
	m := ensemble.Members{From: civil.Of(2031, 1, 1)}
	for y := range years {
		year, spell := 1.5*chance.NormFloat64(), 3*chance.NormFloat64()
		t := make([]float64, days)
		for i := range t {
			t[i] = 0.1*float64(i) + year + spell
			spell = 0.8*spell + math.Sqrt(1-0.8*0.8)*3*chance.NormFloat64()
		}
		m.Years, m.TempC = append(m.Years, 2001+y), append(m.TempC, t)
	}
	return m
}

// oracle is Persist written down once more, as a least-squares problem given to
// gonum: the climate and the predictors by their definition, nothing shared.
func oracle(m ensemble.Members, observed []float64, issued int, predictors []int) [][]float64 {
	days := len(m.TempC[0])
	climate := make([]float64, days)
	for d := range climate {
		var around []float64
		for k := max(0, d-7); k <= min(days-1, d+7); k++ {
			for _, t := range m.TempC {
				around = append(around, t[k])
			}
		}
		climate[d] = stat.Mean(around, nil)
	}
	recent := func(t []float64, at, n int) float64 {
		var known []float64
		for k := at - n; k < at; k++ {
			if !math.IsNaN(t[k]) {
				known = append(known, t[k]-climate[k])
			}
		}
		return stat.Mean(known, nil)
	}
	longest := predictors[len(predictors)-1]
	out := make([][]float64, len(m.TempC))
	for i := range out {
		out[i] = append([]float64(nil), m.TempC[i]...)
	}
	for k := 0; k < 30 && issued+k < days; k++ {
		var x, y []float64
		for at := max(longest, issued-15); at <= min(days-1-k, issued+15); at++ {
			for _, t := range m.TempC {
				for _, n := range predictors {
					x = append(x, recent(t, at, n))
				}
				y = append(y, t[at+k]-climate[at+k])
			}
		}
		var b mat.Dense
		if err := b.Solve(mat.NewDense(len(y), len(predictors), x), mat.NewDense(len(y), 1, y)); err != nil {
			panic(err)
		}
		for i, t := range m.TempC {
			for p, n := range predictors {
				out[i][issued+k] += b.At(p, 0) * (recent(observed, issued, n) - recent(t, issued, n))
			}
		}
	}
	return out
}

func TestWhatTheDaysJustObservedSayOfTheNext(t *testing.T) {
	both, spell, spring := []int{3, 30}, []int{3}, []int{30}
	missing := func(first, last int) func(int) bool { return func(i int) bool { return i >= first && i < last } }
	none := missing(0, 0)
	for _, row := range []struct {
		name       string
		issued     int
		missing    func(int) bool
		predictors []int // nil: nothing is known, nothing moves
	}{
		{"a month and a spell are known", 60, none, both},
		{"thirty days after the start the month is there", 30, none, both},
		{"a day earlier the spell serves alone", 29, none, spell},
		{"three days after the start the spell is there", 3, none, spell},
		{"on the second day nothing is", 2, none, nil},
		{"one missing day in three does no harm", 60, missing(59, 60), both},
		{"two missing days in three leave the month", 60, missing(58, 60), spring},
		{"eighteen known days in thirty are a month", 60, missing(40, 52), both},
		{"seventeen aren't, and the spell serves alone", 60, missing(40, 53), spell},
		{"without any reading nothing is known", 60, missing(0, 60), nil},
		{"near the end of the members there are fewer pairs", 115, none, both},
		{"past the end nothing is asked", 120, none, nil},
	} {
		m := persisting(20, 120, 7)
		observed := append([]float64(nil), persisting(1, 120, 8).TempC[0]...)
		for i := range observed {
			if row.missing(i) {
				observed[i] = math.NaN()
			}
		}
		want := m.TempC
		if row.predictors != nil {
			want = oracle(m, observed, row.issued, row.predictors)
		}
		got := ensemble.NewClimate(m).Persist(observed[:min(row.issued, 120)], row.issued)
		if got.From != m.From || !reflect.DeepEqual(got.Years, m.Years) {
			t.Errorf("%s: members of %v from %s", row.name, got.Years, got.From)
		}
		for i := range want {
			for d := range want[i] {
				if math.Abs(got.TempC[i][d]-want[i][d]) > 1e-9 {
					t.Fatalf("%s: member %d on day %d is %.9f °C, want %.9f", row.name, i, d, got.TempC[i][d], want[i][d])
				}
			}
		}
	}
}

// A kept climate gives the same bytes as a new one, whatever was asked of it
// before; the members given stay as they were, and no day before the issue moves.
func TestAKeptClimateForgetsNothingAndAddsNothing(t *testing.T) {
	m, before := persisting(12, 150, 3), persisting(12, 150, 3)
	kept := ensemble.NewClimate(m)
	rapid.Check(t, func(t *rapid.T) {
		issued := rapid.IntRange(0, 160).Draw(t, "issued")
		observed := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-30, 30), rapid.Just(math.NaN())), 0, 170).Draw(t, "observed")
		got, fresh := kept.Persist(observed, issued), ensemble.NewClimate(m).Persist(observed, issued)
		if !reflect.DeepEqual(got, fresh) || !reflect.DeepEqual(m, before) {
			t.Fatalf("issued %d: a kept climate differs from a new one, or changed its members", issued)
		}
		if later := append(append([]float64(nil), observed[:min(issued, len(observed))]...), 99, -99); len(observed) >= issued && !reflect.DeepEqual(kept.Persist(later, issued), got) {
			t.Fatalf("issued %d: readings after the issue matter", issued)
		}
		for i, c := range got.TempC {
			for d, x := range c {
				if math.IsNaN(x) || d < issued && x != m.TempC[i][d] {
					t.Fatalf("issued %d: member %d on day %d is %g", issued, i, d, x)
				}
			}
		}
	})
}

func TestMembersThatTellNothingAreLeftAlone(t *testing.T) {
	if m := ensemble.NewClimate(ensemble.Members{}).Persist([]float64{1, 2, 3, 4, 5}, 4); len(m.TempC) != 0 {
		t.Errorf("members of nothing: %v", m)
	}
	same := ensemble.Members{From: civil.Of(2031, 1, 1), Years: []int{2029, 2030}, TempC: [][]float64{make([]float64, 90), make([]float64, 90)}}
	if m := ensemble.NewClimate(same).Persist(flat().TempC[0], 20); !reflect.DeepEqual(m, same) {
		t.Error("members without any departure were moved") // their slopes are 0/0
	}
}

// Leave one year out at Harvard Forest and Helsinki: what the days so far say
// makes the mean of the next ten days better, in windows that have just begun
// (the spell alone) as in old ones. Single days of issue stray by ±3 %.
func TestPersistenceHelpsInAWindowThatHasJustBegun(t *testing.T) {
	for _, file := range []string{"daily_harvard_forest_1964-2015.csv", "daily_helsinki_vantaa_1952-2017.csv"} {
		means := openStation(t, file)
		for _, row := range []struct {
			start  civil.MonthDay
			issued []int
		}{{march1, []int{4, 10, 20, 29}}, {newYear, []int{10, 63, 69, 79, 88}}} {
			var with, without float64
			for _, issued := range row.issued {
				a, b := tenDayErrorsK(means, row.start, issued)
				t.Logf("%s from %v, issued on day %d: %.2f K with, %.2f K without", file, row.start, issued, a, b)
				with, without = with+a*a, without+b*b
			}
			if with >= without {
				t.Errorf("%s from %v: mean squares of %.2f K² with, %.2f without", file, row.start, with, without)
			}
		}
	}
}

// tenDayErrorsK gives the root mean square error of the members' mean of the
// ten days from an issue on, each year left out in turn.
func tenDayErrorsK(means []ensemble.Mean, start civil.MonthDay, issued int) (with, without float64) {
	const horizon = 150
	n := 0.0
	for year := means[0].Date.Year() + 1; year <= means[len(means)-1].Date.Year(); year++ {
		truth := window(means, start.In(year), horizon)
		m := ensemble.FromMeans(means, ensemble.Alignment{Start: start, Year: year, Horizon: horizon, Others: true})
		want := stat.Mean(truth[issued:issued+10], nil)
		if math.IsNaN(want) {
			continue
		}
		ten := func(m ensemble.Members) (mean float64) {
			for _, t := range m.TempC {
				mean += stat.Mean(t[issued:issued+10], nil) / float64(len(m.TempC))
			}
			return mean
		}
		with += sq(ten(ensemble.NewClimate(m).Persist(truth, issued)) - want)
		without += sq(ten(m) - want)
		n++
	}
	return math.Sqrt(with / n), math.Sqrt(without / n)
}

func sq(x float64) float64 { return x * x }
