package advance_test

import (
	"fmt"
	"math"
	"testing"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// rough is thirty past springs and the running one that differ from day to day.
func rough(through civil.Date) (days []weather.Day) {
	x := uint64(88172645463325252)
	level := 0.0
	for d := civil.Of(2001, 1, 1); d <= through; d++ {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
		level = 0.8*level + 2.2*(float64(x>>11)/(1<<53)-0.5)*2
		c := 5.5 - 11.5*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365.25) + 1.5*level
		days = append(days, weather.Day{Date: d, MinC: c - 4, MaxC: c + 4, MeanC: c})
	}
	return days
}

// reported is what a site saw in past seasons, by the heat above 5 °C since
// 1 March and a need that differs from year to year.
func reported(site string, days []weather.Day, years int) (reports []trail.Report) {
	for y := 2031 - years; y < 2031; y++ {
		for _, s := range []struct {
			code int
			need float64
		}{{1, 25}, {7, 60}, {60, 95}, {69, 210}} {
			var sum float64
			for _, d := range days {
				if d.Date < civil.Of(y, 3, 1) || d.Date.Year() != y {
					continue
				}
				if sum += max(0, d.MeanC-5); sum >= s.need*math.Exp(0.2+0.1*math.Sin(float64(y*7))) {
					reports = append(reports,
						trail.Report{Kind: trail.NotYet, Site: site, BBCH: s.code, Day: d.Date - 1},
						trail.Report{Kind: trail.StageSeen, Site: site, BBCH: s.code, Day: d.Date})
					break
				}
			}
		}
	}
	return reports
}

// A day of a site while the past is kept.
func BenchmarkDay(b *testing.B) {
	for _, years := range []int{0, 6} {
		b.Run(fmt.Sprintf("%d past seasons reported", years), func(b *testing.B) {
			n := newBench(b)
			n.memory.days["NEAR"] = rough(today - 1)
			n.memory.past = reported("HOME", n.memory.days["NEAR"], years)
			n.memory.marked = true
			n.task.Memo = advance.NewMemo(4)
			n.do(b)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ { // a report that moves, so that no forecast is the one before
				n.memory.reports = []trail.Report{{Kind: trail.NotYet, Site: "HOME", BBCH: 7, Day: today - 3 - civil.Date(i%2)}}
				n.do(b)
			}
		})
	}
}

// A day of a site of which nothing is kept.
func BenchmarkDayWithoutMemo(b *testing.B) {
	n := newBench(b)
	n.memory.days["NEAR"] = rough(today - 1)
	n.memory.past = reported("HOME", n.memory.days["NEAR"], 6)
	for b.Loop() {
		n.do(b)
	}
}

// A day of a site whose own station has been silent for two weeks, and for
// which another stands in.
func BenchmarkDayInAGap(b *testing.B) {
	n := newBench(b)
	all := rough(today - 1)
	n.memory.days["NEAR"], n.memory.days["FAR"] = until(all, today-14), besides(all, 1, 2)
	n.memory.marked = true
	n.task.Memo = advance.NewMemo(4)
	n.do(b)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		n.memory.reports = []trail.Report{{Kind: trail.NotYet, Site: "HOME", BBCH: 7, Day: today - 3 - civil.Date(i%2)}}
		n.do(b)
	}
}
