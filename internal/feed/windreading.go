package feed

import (
	"cmp"
	"math"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// windReadings is the wind of a series finer than a day, in metres per second.
type windReadings []windReading

type windReading struct {
	at            time.Time // the moment, or the end of the time
	over          time.Duration
	speed, gustMS float64 // NaN where there is none
}

// strongestMS is above every wind measured near the ground but in a tornado
// (113 m/s, Barrow Island 1996); a value beyond it is a code.
const strongestMS = 120

func (w *windReadings) add(r windReading) {
	r.speed, r.gustMS = windMS(r.speed), windMS(r.gustMS)
	if !math.IsNaN(r.speed) || !math.IsNaN(r.gustMS) {
		*w = append(*w, r)
	}
}

// windMS is the wind, or NaN for what can be none.
func windMS(v float64) float64 {
	if v >= 0 && v <= strongestMS {
		return v
	}
	return math.NaN()
}

// days gives the highest wind and gust of each day; they are lower bounds of a
// day that isn't whole, and no mean is given. Where nothing says what a day is
// there are none.
func (w windReadings) days(opt Options) []weather.Wind {
	rule, err := NewDayRule(opt)
	if err != nil || len(w) == 0 {
		return nil
	}
	byDay := map[civil.Date]weather.Wind{}
	for _, r := range w {
		date, ok := rule.Window.dateOf(r.at.Add(-r.over/2), rule.Zone)
		if !ok {
			continue
		}
		d, known := byDay[date]
		if !known {
			d = noWind(date)
		}
		d.MaxMS, d.GustMS = higher(d.MaxMS, r.speed), higher(d.GustMS, r.gustMS)
		byDay[date] = d
	}
	out := make([]weather.Wind, 0, len(byDay))
	for _, d := range byDay {
		out = append(out, d)
	}
	slices.SortFunc(out, func(a, b weather.Wind) int { return cmp.Compare(a.Date, b.Date) })
	return out
}

// higher is the higher of two values of which NaN is none.
func higher(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}
