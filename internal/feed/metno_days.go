package feed

import (
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// forecastStep is a temperature at a moment, and the extremes of the six
// hours after it where they are given (else NaN).
type forecastStep struct {
	line                int
	at                  time.Time
	tempC, max6C, min6C float64
}

type forecastSteps []forecastStep

const (
	leastCoverage = 0.8           // share of a day that steps must cover for it to count
	longestStep   = 6 * time.Hour // two steps further apart leave a hole between them
)

// day makes the day of a zone from the steps and gives the share of it that
// they cover. Between two steps the temperature is taken as a straight line,
// so the mean is weighted by time whatever the steps' lengths. The extremes
// are those of the line, widened by the six-hour extremes whose six hours lie
// wholly within the day.
func (s forecastSteps) day(date civil.Date, zone *time.Location) (d weather.Day, coverage float64) {
	start, end := date.In(zone, 0, 0), (date+1).In(zone, 0, 0)
	lowest, highest := math.Inf(1), math.Inf(-1)
	var sumKs, coveredS float64
	for i := 1; i < len(s); i++ {
		from, to, ok := s.within(i, start, end)
		if !ok {
			continue
		}
		seconds := to.at.Sub(from.at).Seconds()
		sumKs += (from.tempC + to.tempC) / 2 * seconds
		coveredS += seconds
		lowest = min(lowest, from.tempC, to.tempC)
		highest = max(highest, from.tempC, to.tempC)
	}
	if coveredS == 0 {
		return weather.Missing(date), 0
	}
	for _, step := range s {
		if step.at.Before(start) || step.at.Add(longestStep).After(end) {
			continue
		}
		if step.min6C < lowest { // false for NaN
			lowest = step.min6C
		}
		if step.max6C > highest {
			highest = step.max6C
		}
	}
	d = weather.Day{Date: date, MinC: hundredths(lowest), MaxC: hundredths(highest), MeanC: hundredths(sumKs / coveredS)}
	return d, coveredS / end.Sub(start).Seconds()
}

// within clips the line from step i-1 to step i to the day; false when the
// two are too far apart or outside it.
func (s forecastSteps) within(i int, start, end time.Time) (from, to forecastStep, ok bool) {
	from, to = s[i-1], s[i]
	if to.at.Sub(from.at) > longestStep || !from.at.Before(end) || !to.at.After(start) {
		return from, to, false
	}
	slope := (to.tempC - from.tempC) / to.at.Sub(from.at).Seconds()
	if from.at.Before(start) {
		from.tempC += slope * start.Sub(from.at).Seconds()
		from.at = start
	}
	if to.at.After(end) {
		to.tempC -= slope * to.at.Sub(end).Seconds()
		to.at = end
	}
	return from, to, true
}

// lineOf gives the number of the day's first step, or of the last before it.
func (s forecastSteps) lineOf(date civil.Date, zone *time.Location) int {
	for _, step := range s {
		if civil.At(step.at.In(zone)) >= date {
			return step.line
		}
	}
	return s[len(s)-1].line
}
