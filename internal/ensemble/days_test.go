package ensemble_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// may3 is the first day of the distributions below.
var may3 = civil.Of(2031, 5, 3)

// from may3 on: 3 May 0, 4 May 0.25, 5 May 0.25, 6 May 0.75, and never more.
func quarters() ensemble.Days {
	return ensemble.Days{From: may3, By: []float64{0, 0.25, 0.25, 0.75}}
}

func TestChanceByTheEndOfADay(t *testing.T) {
	for _, row := range []struct {
		name string
		days ensemble.Days
		day  civil.Date
		want float64
	}{
		{"before the start the chance is 0", quarters(), may3 - 1, 0},
		{"long before the start too", quarters(), may3 - 4000, 0},
		{"no date is before every start", quarters(), 0, 0},
		{"the first entry belongs to the start", quarters(), may3, 0},
		{"each entry belongs to its day", quarters(), may3 + 1, 0.25},
		{"the last entry belongs to its day", quarters(), may3 + 3, 0.75},
		{"after the end it stays as it was there", quarters(), may3 + 400, 0.75},
		{"without a horizon there is no chance", ensemble.Days{From: may3}, may3 + 1, 0},
		{"the zero value has none either", ensemble.Days{}, may3, 0},
	} {
		if got := row.days.On(row.day); got != row.want {
			t.Errorf("%s: %g, want %g", row.name, got, row.want)
		}
	}
}

func TestFirstDayByWhichTheChanceIsReached(t *testing.T) {
	for _, row := range []struct {
		name string
		days ensemble.Days
		p    float64
		want civil.Date
		ok   bool
	}{
		{"between two entries it is the later day", quarters(), 0.5, may3 + 3, true},
		{"a chance that is met exactly is reached", quarters(), 0.25, may3 + 1, true},
		{"of equal days it is the first", quarters(), 0.1, may3 + 1, true},
		{"the last entry counts", quarters(), 0.75, may3 + 3, true},
		{"no chance at all is there from the start", quarters(), 0, may3, true},
		{"more than the last entry is never reached", quarters(), 0.7500001, 0, false},
		{"certainty is never reached", quarters(), 1, 0, false},
		{"a chance that is no number is never reached", quarters(), math.NaN(), 0, false},
		{"without a horizon nothing is reached", ensemble.Days{From: may3}, 0, 0, false},
	} {
		if got, ok := row.days.Quantile(row.p); got != row.want || ok != row.ok {
			t.Errorf("%s: %s %v, want %s %v", row.name, got, ok, row.want, row.ok)
		}
	}
}

func TestLastDayOnWhichTheChanceIsAtMost(t *testing.T) {
	for _, row := range []struct {
		name string
		days ensemble.Days
		p    float64
		want civil.Date
		ok   bool
	}{
		{"a chance that is met exactly is still at most that", quarters(), 0.25, may3 + 2, true},
		{"between two entries it is the earlier day", quarters(), 0.5, may3 + 2, true},
		{"no chance at all ends the day before the first", quarters(), 0, may3, true},
		{"a start above it puts the last day before the start", ensemble.Days{From: may3, By: []float64{0.3, 1}}, 0.1, may3 - 1, true},
		{"where the chance never rises above it there is no last day", quarters(), 0.75, 0, false},
		{"a chance that is no number has no last day", quarters(), math.NaN(), 0, false},
		{"without a horizon there is no last day", ensemble.Days{From: may3}, 0.5, 0, false},
	} {
		if got, ok := row.days.LastAtMost(row.p); got != row.want || ok != row.ok {
			t.Errorf("%s: %s %v, want %s %v", row.name, got, ok, row.want, row.ok)
		}
	}
}

// anyDays draws a distribution of 1 to 40 days that never falls.
func anyDays(t *rapid.T) ensemble.Days {
	by := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 40).Draw(t, "by")
	slices.Sort(by)
	return ensemble.Days{From: may3, By: by}
}

// On, Quantile and LastAtMost are three views of one thing: the quantile is
// the first day at p or above, and everything up to the last day at most p is
// not above it.
func TestViewsOfADistributionAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDays(t)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		for day := may3 - 2; day < may3+45; day++ {
			if c := d.On(day); c < 0 || c > 1 || c < d.On(day-1) {
				t.Fatalf("%s: %g after %g", day, c, d.On(day-1))
			}
		}
		if q, ok := d.Quantile(p); ok && (d.On(q) < p || q > may3 && d.On(q-1) >= p) {
			t.Fatalf("quantile %g is %s: %g, before %g", p, q, d.On(q), d.On(q-1))
		} else if !ok && d.On(may3+45) >= p {
			t.Fatalf("quantile %g is not found, and the chance comes to %g", p, d.On(may3+45))
		}
		if last, ok := d.LastAtMost(p); ok && (d.On(last) > p || d.On(last+1) <= p) {
			t.Fatalf("last at most %g is %s: %g, after %g", p, last, d.On(last), d.On(last+1))
		} else if !ok && d.On(may3+45) > p {
			t.Fatalf("no last day at most %g, and the chance comes to %g", p, d.On(may3+45))
		}
	})
}
