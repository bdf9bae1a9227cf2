package feed

import (
	"cmp"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// noWind is a day's wind without any value.
func noWind(date civil.Date) weather.Wind {
	return weather.Wind{Date: date, MeanMS: math.NaN(), MaxMS: math.NaN(), GustMS: math.NaN()}
}

// kmh converts kilometres per hour to metres per second, to the hundredth.
func kmh(v float64) float64 { return hundredths(v / 3.6) }

// windByDay gathers GHCN's wind elements: WSFG is the peak gust, WSF5 the
// fastest five seconds (used where there is no WSFG), WSF2 the fastest two
// minutes, AWND the mean.
type windByDay map[civil.Date]*ghcnWind

type ghcnWind struct {
	weather.Wind
	fiveSecondsMS float64
}

// take keeps the first value of an element on a day.
func (w *windByDay) take(date civil.Date, element string, ms float64) {
	switch element {
	case "WSFG", "WSF5", "WSF2", "AWND":
	default:
		return
	}
	if *w == nil {
		*w = windByDay{}
	}
	d := (*w)[date]
	if d == nil {
		d = &ghcnWind{noWind(date), math.NaN()}
		(*w)[date] = d
	}
	into := map[string]*float64{"WSFG": &d.GustMS, "WSF5": &d.fiveSecondsMS, "WSF2": &d.MaxMS, "AWND": &d.MeanMS}[element]
	if math.IsNaN(*into) {
		*into = ms
	}
}

// list gives the days in order.
func (w windByDay) list() []weather.Wind {
	var out []weather.Wind
	for _, d := range w {
		if math.IsNaN(d.GustMS) {
			d.GustMS = d.fiveSecondsMS
		}
		out = append(out, d.Wind)
	}
	slices.SortFunc(out, func(a, b weather.Wind) int { return cmp.Compare(a.Date, b.Date) })
	return out
}
