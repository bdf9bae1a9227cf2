package stage

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// HeatSoFar gives the heat from the stage's start through a day, in °C·d, and
// how many of its days have no usable reading; these add nothing. No later day
// is looked at, so a method that needs the next day's minimum misses the last.
func HeatSoFar(s Stage, season int, observed []weather.Day, through civil.Date) (heatCd float64, missing int) {
	from := s.Heat.Start.In(season)
	for _, h := range dailyHeat(s.Heat.Rule, observed, civil.Range{First: from, Last: through}) {
		if math.IsNaN(h) {
			missing++
			continue
		}
		heatCd += h
	}
	return heatCd, missing
}

// dailyHeat gives the heat of each day of a range in °C·d, NaN where a reading
// is missing: by the published mean or what stands in for it, or by what the
// method needs of the extremes.
func dailyHeat(rule degreeday.Rule, observed []weather.Day, over civil.Range) []float64 {
	if rule.Method == degreeday.Mean {
		heat := knownMeans(observed, over)
		for i, c := range heat {
			if !math.IsNaN(c) {
				heat[i] = rule.OfMean(c)
			}
		}
		return heat
	}
	days := knownDays(observed, over)
	heat := make([]float64, len(days))
	for i, d := range days {
		next := weather.Missing(d.Date + 1)
		if i+1 < len(days) {
			next = days[i+1]
		}
		heatCd, ok := rule.Day(d, next)
		if !ok {
			heatCd = math.NaN()
		}
		heat[i] = heatCd
	}
	return heat
}

// knownDays gives every day of a range, without values where none is there.
func knownDays(observed []weather.Day, over civil.Range) []weather.Day {
	days := make([]weather.Day, over.Len())
	for i := range days {
		days[i] = weather.Missing(over.First + civil.Date(i))
	}
	for _, d := range observed {
		if over.Has(d.Date) {
			days[d.Date-over.First] = d
		}
	}
	return days
}

// knownMeans gives the mean of every day of a range, NaN where none is there.
func knownMeans(observed []weather.Day, over civil.Range) []float64 {
	means := make([]float64, over.Len())
	for i, d := range knownDays(observed, over) {
		means[i], _, _ = d.Mean()
	}
	return means
}

// Means gives the daily means of readings or of a short-range forecast, in
// their order. A marked day or one without a mean is left out; (min+max)/2
// stands in for a mean that wasn't published.
func Means(days []weather.Day) []ensemble.Mean {
	var means []ensemble.Mean
	for _, d := range days {
		if c, _, ok := d.Mean(); ok {
			means = append(means, ensemble.Mean{Date: d.Date, MeanC: c})
		}
	}
	return means
}
