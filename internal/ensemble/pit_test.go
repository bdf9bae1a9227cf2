package ensemble_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/ensemble"
)

func TestWhereAnObservationLiesInItsForecast(t *testing.T) {
	d := ensemble.Days{From: doy(121), By: []float64{0.05, 0.3, 0.6, 0.95, 1}}
	for _, row := range []struct {
		name      string
		after, by int // days of the year
		pit       ensemble.PIT
		inside    float64 // by hand
	}{
		{"a day in the middle", 122, 123, ensemble.PIT{Low: 0.3, High: 0.6}, 1},
		{"a day that the upper quantile parts", 123, 124, ensemble.PIT{Low: 0.6, High: 0.95}, 0.3 / 0.35},
		{"a day beyond it", 124, 125, ensemble.PIT{Low: 0.95, High: 1}, 0},
		{"a week without a visit spreads over all", 118, 125, ensemble.PIT{Low: 0, High: 1}, 0.8},
		{"a day before the forecast's first", 110, 111, ensemble.PIT{}, 0},
	} {
		got := ensemble.PITOf(d, doy(row.after), doy(row.by))
		if got != row.pit || math.Abs(got.Inside(0.1, 0.9)-row.inside) > 1e-12 {
			t.Errorf("%s: %+v, %.4f inside; want %+v and %.4f", row.name, got, got.Inside(0.1, 0.9), row.pit, row.inside)
		}
	}
	if got := (ensemble.PIT{Low: 0.5, High: 0.5}).Inside(0.1, 0.9); got != 1 {
		t.Errorf("what had no chance of its own in the middle counts %v, want 1", got)
	}
}

// If a day is drawn by the forecast itself, the 80 % interval holds 0.8 of it
// on the mean, however the days are lumped together by visits.
func TestAnHonestForecastIsNeitherTooWideNorTooNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := ensemble.Days{From: doy(100)}
		weights := rapid.SliceOfN(rapid.Float64Range(0.001, 1), 1, 30).Draw(t, "weights")
		var sum, by float64
		for _, w := range weights {
			sum += w
		}
		for _, w := range weights {
			by += w / sum
			d.By = append(d.By, by)
		}
		d.By[len(d.By)-1] = 1
		every := rapid.IntRange(1, 9).Draw(t, "days between visits")
		var mean float64
		for at := 0; at < len(weights); at += every {
			after, last := doy(100+at)-1, doy(100+at+every)-1
			mean += (d.On(last) - d.On(after)) * ensemble.PITOf(d, after, last).Inside(0.1, 0.9)
		}
		if math.Abs(mean-0.8) > 1e-9 {
			t.Fatalf("%.6f inside, want 0.8", mean)
		}
	})
}

func TestQuantilesBetweenDays(t *testing.T) {
	d := ensemble.Days{From: doy(121), By: []float64{0.1, 0.3, 0.6, 0.9}}
	// By hand: the third day's chance runs from 0.3 to 0.6 over the day from 1.5 to 2.5.
	for p, want := range map[float64]float64{0.5: 1.5 + 2.0/3, 0.1: 0.5, 0.3: 1.5, 0.95: math.Inf(1)} {
		if got := d.DaysTo(p); math.Abs(got-want) > 1e-12 {
			t.Errorf("%.2f after %.4f days, want %.4f", p, got, want)
		}
	}
}
