package ensemble_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// missed makes n compared days of a lead, each missed by so many K.
func missed(day, n int, byK float64) (came []ensemble.Came) {
	for i := range n {
		issued := may3 + civil.Date(i)
		came = append(came, ensemble.Came{Issued: issued, Date: issued + civil.Date(day-1), ForecastC: 10 + byK, ObservedC: 10})
	}
	return came
}

func TestErrorsLearnedFromIssuedForecasts(t *testing.T) {
	for _, row := range []struct {
		name string
		came []ensemble.Came
		want map[int]float64
	}{
		{"with nothing compared the assumption stands", nil, map[int]float64{1: 1.5, 4: 2.333333, 10: 4}},
		{"sixty days weigh as much as it", missed(10, 60, 6), map[int]float64{10: 5.099020, 9: 3.722222}},                                            // by hand: √((16 + 36)/2)
		{"a bias is an error, whatever its sign", missed(10, 60, -6), map[int]float64{10: 5.099020}},                                                 // the same
		{"many days decide", missed(10, 5940, 6), map[int]float64{10: 5.983310}},                                                                     // by hand: √(36·0.99 + 16·0.01)
		{"a day ahead that does better than one before it shares with it", missed(2, 60, 0), map[int]float64{1: 1.342944, 2: 1.342944, 3: 2.055556}}, // by hand: √((60·1.5² + 60·1.777778²)/180)
		{"a missing observation, a wild miss and a day beyond ten tell nothing", append(append(missed(3, 99, math.NaN()), missed(3, 99, 40)...), missed(11, 99, 9)...), map[int]float64{3: 2.055556, 11: 4.277778}},
		{"nor does a day before its issue", missed(0, 99, 9), map[int]float64{1: 1.5}},
	} {
		e := ensemble.LearnErrors(row.came)
		for day, want := range row.want {
			if got := e.Of(day); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s: day %d has %.6f K, want %.6f", row.name, day, got, want)
			}
		}
	}
}

// Errors of 1 to 2.8 K, drawn 4,000 times a lead, are found again.
func TestLearnedErrorsAreTheRealOnes(t *testing.T) {
	chance := rand.New(rand.NewPCG(1, 2))
	var came []ensemble.Came
	for day := 1; day <= 10; day++ {
		for _, c := range missed(day, 4000, 0) {
			c.ForecastC += (0.8 + 0.2*float64(day)) * chance.NormFloat64()
			came = append(came, c)
		}
	}
	e := ensemble.LearnErrors(came)
	for day := 1; day <= 10; day++ {
		if want := 0.8 + 0.2*float64(day); math.Abs(e.Of(day)/want-1) > 0.05 {
			t.Errorf("day %d has %.3f K, want %.3f", day, e.Of(day), want)
		}
	}
}

func TestErrorsNeverShrinkWithTheLead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var came []ensemble.Came
		for day := 1; day <= 10; day++ {
			came = append(came, missed(day, rapid.IntRange(0, 200).Draw(t, "days"), rapid.Float64Range(-10, 10).Draw(t, "miss"))...)
		}
		e := ensemble.LearnErrors(came)
		for day := 2; day <= 10; day++ {
			if !(e.Of(day) >= e.Of(day-1)-1e-12) {
				t.Fatalf("day %d has %g K, the day before %g", day, e.Of(day), e.Of(day-1))
			}
		}
	})
}

// A forecast that has proved good is trusted more than assumed, a bad one less;
// the assumption's errors give what Blend gives.
func TestProvenErrorsDecideHowFarAForecastIsTrusted(t *testing.T) {
	m, f := flat(), []ensemble.Mean{{Date: may3, MeanC: 16}}
	m.From = may3
	mean := func(m ensemble.Members) float64 { return (m.TempC[0][0] + m.TempC[1][0] + m.TempC[2][0]) / 3 }
	good := mean(ensemble.LearnErrors(missed(1, 600, 0.5)).Blend(m, f, may3))
	bad := mean(ensemble.LearnErrors(missed(1, 600, 5)).Blend(m, f, may3))
	assumed := ensemble.Blend(m, f, may3)
	if !(good > mean(assumed) && mean(assumed) > bad && good < 16 && bad > 10) {
		t.Errorf("a good forecast gives %.2f °C, an unknown one %.2f, a bad one %.2f", good, mean(assumed), bad)
	}
	if !reflect.DeepEqual(ensemble.LearnErrors(nil).Blend(m, f, may3), assumed) {
		t.Error("with nothing compared members aren't those of Blend")
	}
}
