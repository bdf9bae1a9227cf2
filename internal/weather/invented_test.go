package weather_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// invented gives stations of one valley: a season's course, weather that lasts
// some days and is the same for all, and for each an offset by season, a noise
// of its own and readings to half a degree.
func invented(stations, years int) map[string][]weather.Day {
	chance := rand.New(rand.NewPCG(7, 5))
	first := civil.MustParse("2001-01-01")
	out := map[string][]weather.Day{}
	weatherK := 0.0
	for i := range years * 365 {
		season := math.Cos(2 * math.Pi * (float64(i) - 200) / 365.25)
		weatherK = 0.7*weatherK + (4.5-1.5*season)*0.714*chance.NormFloat64() // 0.714² = 1 - 0.7²
		rangeK := 9 + 3*season + 2*chance.NormFloat64()
		for s := range stations {
			code := fmt.Sprint("S", s+1)
			mean := 6 + 13*season + weatherK - 1.1*float64(s) + 0.4*float64(s)*season + 0.8*chance.NormFloat64()
			low, high := half(mean-math.Max(1, rangeK)/2+0.5*chance.NormFloat64()), half(mean+math.Max(1, rangeK)/2+0.5*chance.NormFloat64())
			if low > high {
				low, high = high, low
			}
			out[code] = append(out[code], weather.Day{Date: first + civil.Date(i), MinC: low, MaxC: high, MeanC: (low + high) / 2})
		}
	}
	return out
}

func half(c float64) float64 { return math.Round(2*c) / 2 }
