package stage_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// may1 is the first day of the distributions that visits condition.
var may1 = civil.Of(2031, 5, 1)

// fifths: 1 May 0, 2 May 0.2, 3 May 0.4, 4 May 0.8, 5 May 0.9 and no more.
func fifths() ensemble.Days {
	return ensemble.Days{From: may1, By: []float64{0, 0.2, 0.4, 0.8, 0.9}}
}

// Every number computed by hand from the formulae of Truncate.
func TestVisitsConditionAForecast(t *testing.T) {
	sure := ensemble.Days{From: may1, By: []float64{0, 1, 1, 1, 1}}
	never := ensemble.Days{From: may1, By: []float64{0, 0, 0, 0, 0}}
	day := func(n int) civil.Date { return may1 + civil.Date(n) - 1 }
	for _, row := range []struct {
		name   string
		days   ensemble.Days
		bounds stage.Bounds
		from   civil.Date
		want   []float64
	}{
		{"no visit changes nothing", fifths(), stage.Bounds{}, day(1), []float64{0, 0.2, 0.4, 0.8, 0.9}},
		{"not yet on the 2nd: what is left of 0.8 is shared by the days after", fifths(), stage.Bounds{NotYet: day(2)}, day(1), []float64{0, 0, 0.25, 0.75, 0.875}},
		{"not yet before the start says nothing new", fifths(), stage.Bounds{NotYet: day(-8)}, day(1), []float64{0, 0.2, 0.4, 0.8, 0.9}},
		{"not yet on the last day leaves it to the days beyond", fifths(), stage.Bounds{NotYet: day(5)}, day(1), []float64{0, 0, 0, 0, 0, 0}},
		{"not yet beyond the horizon too", fifths(), stage.Bounds{NotYet: day(6)}, day(1), []float64{0, 0, 0, 0, 0, 0, 0}},
		{"seen on the 4th: the days before share its 0.8", fifths(), stage.Bounds{Seen: day(4)}, day(1), []float64{0, 0.25, 0.5, 1, 1}},
		{"seen on the last day makes it certain", fifths(), stage.Bounds{Seen: day(5)}, day(1), []float64{0, 0.2222222, 0.4444444, 0.8888889, 1}},
		{"seen beyond the horizon", fifths(), stage.Bounds{Seen: day(7)}, day(1), []float64{0, 0.2222222, 0.4444444, 0.8888889, 1, 1, 1}},
		{"seen before the start", fifths(), stage.Bounds{Seen: day(-1)}, day(-1), []float64{1, 1, 1, 1, 1, 1, 1}},
		{"not yet on the 2nd, seen on the 4th", fifths(), stage.Bounds{NotYet: day(2), Seen: day(4)}, day(1), []float64{0, 0, 1.0 / 3, 1, 1}},
		{"not yet on the 3rd, seen on the 4th is a sure day", fifths(), stage.Bounds{NotYet: day(3), Seen: day(4)}, day(1), []float64{0, 0, 0, 1, 1}},
		{"surely there, and not yet on the 3rd: the day after is certain", sure, stage.Bounds{NotYet: day(3)}, day(1), []float64{0, 0, 0, 1, 1}},
		{"surely there, and not yet on the last day: the day after is certain", sure, stage.Bounds{NotYet: day(5)}, day(1), []float64{0, 0, 0, 0, 0, 1}},
		{"surely later, and seen: it was that day", never, stage.Bounds{Seen: day(4)}, day(1), []float64{0, 0, 0, 1, 1}},
		{"between two visits without any chance the days are equally likely", never, stage.Bounds{NotYet: day(1), Seen: day(5)}, day(1), []float64{0, 0.25, 0.5, 0.75, 1}},
		{"so they are where all chance lay before both visits", sure, stage.Bounds{NotYet: day(3), Seen: day(5)}, day(1), []float64{0, 0, 0, 0.5, 1}},
		{"not yet after seen contradicts itself, and what was seen wins", fifths(), stage.Bounds{NotYet: day(5), Seen: day(4)}, day(1), []float64{0, 0, 0, 1, 1}},
		{"not yet on the day it was seen too", fifths(), stage.Bounds{NotYet: day(4), Seen: day(4)}, day(1), []float64{0, 0, 0, 1, 1}},
		{"an empty forecast stays empty", ensemble.Days{From: may1}, stage.Bounds{NotYet: day(2), Seen: day(4)}, day(1), nil},
	} {
		given := slices.Clone(row.days.By)
		got := stage.Truncate(row.days, row.bounds)
		same := got.From == row.from && slices.EqualFunc(got.By, row.want, func(a, b float64) bool { return near(a, b, 1e-6) })
		if !same {
			t.Errorf("%s:\n got %v from %s\nwant %v from %s", row.name, got.By, got.From, row.want, row.from)
		}
		if !slices.Equal(row.days.By, given) {
			t.Errorf("%s: the forecast given was changed", row.name)
		}
	}
}

func anyDays(t *rapid.T) ensemble.Days {
	by := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 40).Draw(t, "by")
	slices.Sort(by)
	return ensemble.Days{From: may1, By: by}
}

func anyBounds(t *rapid.T) (b stage.Bounds) {
	visit := rapid.OneOf(rapid.Just(civil.Date(0)), rapid.Map(rapid.IntRange(-10, 60), func(n int) civil.Date { return may1 + civil.Date(n) }))
	return stage.Bounds{NotYet: visit.Draw(t, "not yet"), Seen: visit.Draw(t, "seen")}
}

// Whatever was forecast and found, the outcome is a distribution that agrees
// with the visits; and being told the same twice changes nothing.
func TestAConditionedForecastAgreesWithTheVisits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, b := anyDays(t), anyBounds(t)
		got := stage.Truncate(d, b)
		for i, c := range got.By {
			if math.IsNaN(c) || c < 0 || c > 1 || i > 0 && c < got.By[i-1] {
				t.Fatalf("%v with %v: %v", d, b, got.By)
			}
		}
		if b.NotYet != 0 && (b.Seen == 0 || b.NotYet < b.Seen) && got.On(b.NotYet) != 0 {
			t.Fatalf("not yet on %s, and the chance is %g", b.NotYet, got.On(b.NotYet))
		}
		if b.Seen != 0 && got.On(b.Seen) != 1 {
			t.Fatalf("seen on %s, and the chance is %g", b.Seen, got.On(b.Seen))
		}
		again := stage.Truncate(got, b)
		for day := may1 - 12; day < may1+62; day++ {
			if !near(again.On(day), got.On(day), 1e-6) {
				t.Fatalf("%s: %g, told twice %g", day, got.On(day), again.On(day))
			}
		}
	})
}

// What two visits say one after the other is what they say together.
func TestTwoVisitsOneAfterTheOther(t *testing.T) {
	one := stage.Truncate(stage.Truncate(fifths(), stage.Bounds{NotYet: may1 + 1}), stage.Bounds{Seen: may1 + 3})
	both := stage.Truncate(fifths(), stage.Bounds{NotYet: may1 + 1, Seen: may1 + 3})
	for i := range both.By {
		if !near(one.By[i], both.By[i], 1e-12) {
			t.Errorf("day %d: %g, together %g", i+1, one.By[i], both.By[i])
		}
	}
	if later := stage.Truncate(stage.Truncate(fifths(), stage.Bounds{NotYet: may1 + 1}), stage.Bounds{NotYet: may1 + 2}); !reflect.DeepEqual(later.By[:3], []float64{0, 0, 0}) {
		t.Errorf("a later visit that found it not yet there leaves %v", later.By)
	}
}
