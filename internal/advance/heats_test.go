package advance_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

func TestOtherHeatsArePooled(t *testing.T) {
	days := func(change func(*bench)) civil.Date {
		b := roughBench(t)
		change(b)
		return median(t, b, stage.BudBreak)
	}
	own := days(func(*bench) {})
	february := civil.MonthDay{Month: 2, Day: 1}
	long := stage.Counting{Name: "long days", Weight: 1, Warmth: stage.Warmth{Response: stage.DayLength, BaseC: 2, Start: february}}
	if got := days(func(b *bench) { b.heats(long) }); got < own-4 || got > own+4 {
		t.Errorf("with a requirement that is carried over bud break is on %s, in the own heat on %s", got, own)
	}
	far := stage.Counting{Name: "far too much", Weight: 3, Warmth: stage.Warmth{Response: stage.AboveBase, BaseC: 2, Start: february}, Needs: map[stage.BBCH]stage.Requirement{
		1: {MedianCd: 2000, LogSD: 0.1}, 7: {MedianCd: 2100, LogSD: 0.1}, 60: {MedianCd: 2200, LogSD: 0.1}, 69: {MedianCd: 2300, LogSD: 0.1}, 89: {MedianCd: 2500, LogSD: 0.1},
	}}
	b := roughBench(t)
	b.heats(far)
	// Three quarters of the weight lie on a heat that isn't reached before summer.
	if c := chance(t, b, stage.BudBreak, civil.MustParse("2031-05-31")); c < 0.2 || c > 0.26 {
		t.Errorf("a quarter of the weight is on the own heat, and the chance by 31 May is %.3f", c)
	}
	// With five years none can be carried over: the own heat stands alone.
	b = roughBench(t)
	b.heats(long)
	b.memory.days["NEAR"] = slices.DeleteFunc(b.memory.days["NEAR"], func(d weather.Day) bool { return d.Date.Year() < 2027 })
	alone := roughBench(t)
	alone.memory.days["NEAR"] = b.memory.days["NEAR"]
	if got, want := median(t, b, stage.BudBreak), median(t, alone, stage.BudBreak); got != want {
		t.Errorf("with four past years a heat was carried over: %s, alone %s", got, want)
	}
}

// Plants that count heat above 0 °C from 1 February, reported for a dozen
// seasons: a fitted heat finds the base on the edge of its grid and says so.
func TestAFittedHeat(t *testing.T) {
	fitted := stage.Counting{Name: "chosen", Weight: 1, Fitted: true}
	plants := func(b *bench, years int) {
		for y := 2031 - years; y < 2031; y++ {
			for code, need := range map[int]float64{1: 180, 7: 260, 60: 330} {
				var sum float64
				for _, d := range b.memory.days["NEAR"] {
					if d.Date < civil.Of(y, 2, 1) || d.Date.Year() != y {
						continue
					}
					if sum += max(0, d.MeanC); sum >= need {
						b.memory.past = append(b.memory.past, trail.Report{Kind: trail.NotYet, Site: "HOME", BBCH: code, Day: d.Date - 1}, trail.Report{Kind: trail.StageSeen, Site: "HOME", BBCH: code, Day: d.Date})
						break
					}
				}
			}
		}
		slices.SortFunc(b.memory.past, func(a, c trail.Report) int { return int(a.Day - c.Day) })
	}
	b := roughBench(t)
	b.heats(fitted)
	plants(b, 25)
	v := b.do(t)
	if !slices.ContainsFunc(v.Warnings, func(w string) bool {
		return strings.Contains(w, "base of 0 °C is on the edge of the grid from 0 to 8 °C")
	}) {
		t.Errorf("warnings: %q", v.Warnings)
	}
	without := roughBench(t)
	plants(without, 25)
	spread := func(v advance.Verdict) civil.Date {
		for _, i := range v.Issued {
			if i.Code == stage.Flowering {
				early, _ := i.Days.Quantile(0.1)
				late, _ := i.Days.Quantile(0.9)
				return late - early
			}
		}
		return 0
	}
	if with, alone := spread(v), spread(without.do(t)); with > alone {
		t.Errorf("the heat that the plants count makes the forecast wider: %d days, alone %d", with, alone)
	}
	few, plain := roughBench(t), roughBench(t)
	few.heats(fitted)
	plants(few, 9)
	plants(plain, 9)
	if !reflect.DeepEqual(few.do(t).Issued, plain.do(t).Issued) {
		t.Error("nine seasons are too few to fit a heat, and it was used")
	}
}
