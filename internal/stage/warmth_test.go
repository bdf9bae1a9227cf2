package stage_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

func TestWarmthOfADay(t *testing.T) {
	day := civil.Of(2031, 3, 21)
	for _, row := range []struct {
		name  string
		w     stage.Warmth
		meanC float64
		want  float64
	}{
		{"nothing below the base", stage.Warmth{Response: stage.AboveBase, BaseC: 5}, 4, 0},
		{"what is above the base", stage.Warmth{Response: stage.AboveBase, BaseC: 5}, 9.5, 4.5},
		{"at the equator a day has twelve hours", stage.Warmth{Response: stage.DayLength, BaseC: 2}, 8, 6},
		{"the logistic gives a half at its centre", stage.Warmth{Response: stage.Logistic, BaseC: 10}, 10, 5},
		{"and 10/(1 + e) a width below", stage.Warmth{Response: stage.Logistic, BaseC: 10}, 7.5, 2.689414213699951}, // by hand
		{"a missing day stays missing", stage.Warmth{Response: stage.Logistic, BaseC: 10}, math.NaN(), math.NaN()},
	} {
		if got := row.w.Of(day, row.meanC); !near(got, row.want, 1e-9) && !(math.IsNaN(got) && math.IsNaN(row.want)) {
			t.Errorf("%s: %g, want %g", row.name, got, row.want)
		}
	}
}

// By hand at the solstice: cos ω = −tan 60°·tan 23.44° = −0.7510, so 18.49
// hours; almanacs, which count the sun's disc and refraction, say 18.9.
func TestDayLength(t *testing.T) {
	for _, row := range []struct {
		name   string
		lat    float64
		day    civil.Date
		want   float64
		within float64
	}{
		{"60° north at midsummer", 60, civil.Of(2031, 6, 21), 18.49, 0.02},
		{"60° north at midwinter", 60, civil.Of(2031, 12, 21), 5.51, 0.02},
		{"at the equinox", 60, civil.Of(2031, 3, 21), 12, 0.15},
		{"beyond the polar circle the sun stays up", 70, civil.Of(2031, 6, 21), 24, 0},
		{"or down", 70, civil.Of(2031, 12, 21), 0, 0},
	} {
		if got := stage.DayLengthHours(row.lat, row.day); !near(got, row.want, row.within) {
			t.Errorf("%s: %.3f h, want %g", row.name, got, row.want)
		}
	}
}

// Warmth begins at its start, never falls with temperature and never is below 0;
// the requirement falls by the same share every day.
func TestWarmthProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := stage.Warmth{
			Response: rapid.SampledFrom([]stage.Response{stage.AboveBase, stage.DayLength, stage.Logistic}).Draw(t, "response"),
			BaseC:    rapid.Float64Range(-5, 12).Draw(t, "base"), Start: march1,
			LatitudeDeg: rapid.Float64Range(-70, 70).Draw(t, "latitude"), FallPerDay: rapid.Float64Range(0, 0.1).Draw(t, "fall"),
		}
		temps := rapid.SliceOfN(rapid.Float64Range(-40, 40), 200, 200).Draw(t, "means")
		for i, h := range w.Daily(civil.Of(2031, 1, 1), temps) {
			day := civil.Of(2031, 1, 1) + civil.Date(i)
			if h < 0 || day < march1.In(2031) && h != 0 || w.Of(day, temps[i]+1) < w.Of(day, temps[i]) {
				t.Fatalf("%s at %g °C: %g", day, temps[i], h)
			}
		}
		if got := w.Fallen(120) - w.Fallen(110); !near(got, 10*w.FallPerDay, 1e-12) {
			t.Fatalf("fallen by %g in ten days of %g", got, w.FallPerDay)
		}
	})
}
