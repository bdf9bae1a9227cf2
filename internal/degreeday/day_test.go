package degreeday_test

import (
	"math"
	"testing"

	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// TestWhatADayMustHave tells which days give heat and which are missing; the
// heats are computed by hand, base 5 °C.
func TestWhatADayMustHave(t *testing.T) {
	whole := weather.Day{Date: today, MinC: 6, MaxC: 20, MeanC: 12}
	tomorrow := weather.Day{Date: today + 1, MinC: 8, MaxC: none, MeanC: none}
	with := func(change func(d *weather.Day)) weather.Day {
		d := whole
		change(&d)
		return d
	}
	nextWith := func(change func(d *weather.Day)) weather.Day {
		d := tomorrow
		change(&d)
		return d
	}
	noMean := with(func(d *weather.Day) { d.MeanC = none })
	noMin := with(func(d *weather.Day) { d.MinC = none })
	swapped := with(func(d *weather.Day) { d.MinC, d.MaxC = 20, 6 })
	marked := with(func(d *weather.Day) { d.Mark = weather.MeanOutside })
	for name, c := range map[string]struct {
		method degreeday.Method
		today  weather.Day
		next   weather.Day
		want   float64 // NaN: no heat
	}{
		"the published mean":                               {degreeday.Mean, whole, tomorrow, 7},
		"the published mean where an extreme is missing":   {degreeday.Mean, noMin, tomorrow, 7},
		"no published mean: never (min+max)/2 for it":      {degreeday.Mean, noMean, tomorrow, none},
		"the extremes where the mean is missing":           {degreeday.Average1, noMean, tomorrow, 8},
		"an extreme missing: never the mean for it":        {degreeday.Average1, noMin, tomorrow, none},
		"a maximum missing":                                {degreeday.Sine, with(func(d *weather.Day) { d.MaxC = none }), tomorrow, none},
		"a marked day":                                     {degreeday.Sine, marked, tomorrow, none},
		"a marked day by its mean":                         {degreeday.Mean, marked, tomorrow, none},
		"a minimum above the maximum":                      {degreeday.Average2, swapped, tomorrow, none},
		"a minimum above the maximum, by the mean":         {degreeday.Mean, swapped, tomorrow, none},
		"an endless maximum":                               {degreeday.Average1, with(func(d *weather.Day) { d.MaxC = math.Inf(1) }), tomorrow, none},
		"a sentinel for a missing minimum":                 {degreeday.Average1, with(func(d *weather.Day) { d.MinC = -9999 }), tomorrow, none},
		"a sentinel for a missing mean":                    {degreeday.Mean, with(func(d *weather.Day) { d.MeanC = 9999 }), tomorrow, none},
		"a minimum that is also the maximum":               {degreeday.Triangle, with(func(d *weather.Day) { d.MinC, d.MaxC = 9, 9 }), tomorrow, 4},
		"a minimum that is also the maximum, at the base":  {degreeday.Sine, with(func(d *weather.Day) { d.MinC, d.MaxC = 5, 5 }), tomorrow, 0},
		"single methods don't ask for tomorrow":            {degreeday.Sine, whole, weather.Missing(today + 1), 8},
		"double methods do, for its minimum":               {degreeday.DoubleSine, whole, tomorrow, 8.5},
		"tomorrow's minimum missing":                       {degreeday.DoubleSine, whole, weather.Missing(today + 1), none},
		"tomorrow's minimum marked":                        {degreeday.DoubleTriangle, whole, nextWith(func(d *weather.Day) { d.Mark = weather.OutOfRange }), none},
		"tomorrow's minimum above its maximum":             {degreeday.DoubleTriangle, whole, nextWith(func(d *weather.Day) { d.MaxC = 7 }), none},
		"the minimum of the day after tomorrow":            {degreeday.DoubleTriangle, whole, nextWith(func(d *weather.Day) { d.Date++ }), none},
		"tomorrow's minimum above today's maximum: rising": {degreeday.DoubleTriangle, whole, nextWith(func(d *weather.Day) { d.MinC = 22 }), 12},
	} {
		t.Run(name, func(t *testing.T) {
			got, ok := mustRule(t, c.method, "", 5, none).Day(c.today, c.next)
			switch {
			case math.IsNaN(c.want) && (ok || got != 0):
				t.Errorf("%g °C·d of a day that is missing", got)
			case !math.IsNaN(c.want) && (!ok || !near(got, c.want, within)):
				t.Errorf("%g (%v), want %g", got, ok, c.want)
			}
		})
	}
}

// A day that stays exactly at the upper threshold isn't above it, so no cutoff
// takes anything away.
func TestADayAtTheUpperThreshold(t *testing.T) {
	for _, c := range degreeday.Cutoffs {
		if got := heat(t, mustRule(t, degreeday.Triangle, c, 5, 25), 25, 25); got != 20 {
			t.Errorf("%s: %g, want 20", c, got)
		}
	}
}

// Rounding may carry the sine of the angle past ±1 where an extreme lies on a
// threshold's neighbour among the floating-point numbers.
func TestExtremesThatAllButTouchAThreshold(t *testing.T) {
	for _, m := range []degreeday.Method{degreeday.Triangle, degreeday.Sine} {
		for _, c := range degreeday.Cutoffs {
			r := mustRule(t, m, c, 0.1, 0.3)
			for _, n := range []float64{math.Nextafter(0.1, 0), math.Nextafter(0.3, 0), -40} {
				for _, x := range []float64{math.Nextafter(0.1, 1), math.Nextafter(0.3, 1), 45} {
					if n > x {
						continue
					}
					if got := heat(t, r, n, x); math.IsNaN(got) || got < 0 || got > 0.2+within {
						t.Errorf("%s %s, %g to %g: %g", m, c, n, x, got)
					}
				}
			}
		}
	}
}

func TestADayCostsNoMemory(t *testing.T) {
	day, next := weather.Day{Date: today, MinC: 2, MaxC: 27, MeanC: 12}, extremes(today+1, 4, 15)
	for _, m := range degreeday.Methods {
		r := mustRule(t, m, "", 5, 25)
		if n := testing.AllocsPerRun(100, func() { r.Day(day, next) }); n != 0 {
			t.Errorf("%s: %g allocations a day", m, n)
		}
	}
}
