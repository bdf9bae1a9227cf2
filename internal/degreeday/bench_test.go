package degreeday_test

import (
	"testing"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

func BenchmarkDay(b *testing.B) {
	days := []weather.Day{
		{Date: today, MinC: -2, MaxC: 8, MeanC: 3}, {Date: today + 1, MinC: 6, MaxC: 20, MeanC: 12},
		{Date: today + 2, MinC: 8, MaxC: 30, MeanC: 19}, {Date: today + 3, MinC: -6, MaxC: 2, MeanC: -1},
		{Date: today + 4, MinC: 1, MaxC: 14, MeanC: 7},
	}
	for _, m := range degreeday.Methods {
		r := mustRule(b, m, "", 5, 25)
		b.Run(string(m), func(b *testing.B) {
			i := 0
			for b.Loop() {
				r.Day(days[i], days[i+1])
				if i++; i == len(days)-1 {
					i = 0
				}
			}
		})
	}
}

// BenchmarkSeason sums seven months, the run of one stage of one site.
func BenchmarkSeason(b *testing.B) {
	var days []weather.Day
	over := civil.Range{First: today, Last: today + 212}
	for d := over.First; d <= over.Last; d++ {
		n := float64(d % 11)
		days = append(days, weather.Day{Date: d, MinC: n, MaxC: n + 9, MeanC: n + 4})
	}
	r := mustRule(b, degreeday.Mean, "", 5, none)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Accumulate(days, over); err != nil {
			b.Fatal(err)
		}
	}
}
