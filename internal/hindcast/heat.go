package hindcast

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

// felt is what each sight tells of a requirement counted in one warmth.
type felt struct {
	need    []float64 // ln heat needed, in the middle of the day; NaN where temperatures are missing
	noise   []float64 // variance of what the day leaves open
	logRate []float64 // ln of how much of the requirement a day covers
	hardly  []bool    // next to no heat by then
}

// feel counts the heat of every sight.
func feel(w stage.Warmth, p *panel, thermometers map[string]*thermometer) felt {
	n := len(p.sights)
	f := felt{make([]float64, n), make([]float64, n), make([]float64, n), make([]bool, n)}
	sums := map[place][]float64{}
	for i, s := range p.sights {
		at := place{s.file, s.year}
		if sums[at] == nil {
			w.LatitudeDeg = p.latDeg[s.file]
			sums[at] = running(w.Daily(civil.Of(s.year, 1, 1), thermometers[s.file].bridged(s.year)))
		}
		on, before := met(w, sums[at], s.day), met(w, sums[at], s.day-1)
		f.need[i], f.noise[i] = (on+before)/2, sq(on-before)/12
		f.logRate[i] = math.Log(max(leastRate, (met(w, sums[at], s.day+1)-met(w, sums[at], s.day-2))/3))
		f.hardly[i] = sums[at][s.day] < 2
	}
	return f
}

// leastRate keeps a date on which nothing grew from ruling a heat out: people
// see late. The rate itself is the mean of three days, for they are easily off
// by one to either side. Both are our assumption.
const leastRate = 1e-4

// place is where and when temperatures are from.
type place struct {
	file string
	year int
}

func running(daily []float64) []float64 {
	var sum float64
	out := make([]float64, len(daily))
	for i, h := range daily {
		sum += h
		out[i] = sum
	}
	return out
}

// met is the greatest ln requirement that is met by the end of a day, counted
// from 1 January: ln of the heat, floored at 1 °C·d, and what the requirement
// has fallen by then.
func met(w stage.Warmth, sum []float64, day int) float64 {
	day = max(0, min(day, len(sum)-1))
	return math.Log(max(1, sum[day])) + w.Fallen(day)
}
