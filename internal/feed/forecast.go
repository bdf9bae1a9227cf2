package feed

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// forecastSteps is a forecast as temperatures of moments, in order of time,
// with whatever extremes of longer times it gives.
type forecastSteps struct {
	steps []forecastStep
	spans []forecastSpan
	winds windReadings
	// closeExtremes: days with steps longer than closeStep get no extremes,
	// for those of the moments are too narrow.
	closeExtremes bool

	rejects rejectList
	missing int
}

// forecastStep is the temperature of a moment.
type forecastStep struct {
	line  int
	at    time.Time
	tempC float64
}

// forecastSpan is the extremes of a time; NaN where one is not given.
type forecastSpan struct {
	from, to   time.Time
	minC, maxC float64
}

const (
	longestStep = 6 * time.Hour // two steps further apart leave a hole between them
	closeStep   = 3 * time.Hour
	// hottestC is beyond every temperature of air on earth (56.7 and -89.2 °C
	// measured); a value beyond it is a code or another unit.
	hottestC = 90
)

// step takes the temperature of a moment, in the order of the answer.
func (f *forecastSteps) step(line int, at time.Time, tempC float64) {
	switch {
	case math.IsNaN(tempC):
		f.missing++
	case math.Abs(tempC) > hottestC:
		f.rejects.add(line, fmt.Sprintf("%.6g °C", tempC), "is no temperature of air")
	case len(f.steps) > 0 && !at.After(f.steps[len(f.steps)-1].at):
		f.rejects.add(line, at.Format(time.RFC3339), "is not later than the step before")
	default:
		f.steps = append(f.steps, forecastStep{line, at, tempC})
	}
}

// span takes the extremes of a time.
func (f *forecastSteps) span(from, to time.Time, minC, maxC float64) {
	if math.Abs(minC) > hottestC || math.Abs(maxC) > hottestC || minC > maxC || math.IsNaN(minC) && math.IsNaN(maxC) {
		return
	}
	f.spans = append(f.spans, forecastSpan{from, to, minC, maxC})
}

// batch makes the days that are wanted, or gives the steps as readings. A day
// counts when the steps cover enough of it; those before the first and after
// the last that counts are partial, which is usual.
func (f *forecastSteps) batch(opt Options) (Batch, error) {
	if len(f.steps) < 2 {
		return Batch{}, f.rejects.nothingRead("fetch it again, or tell the source")
	}
	b := Batch{Station: opt.Station, MissingValues: f.missing, Place: nowhere()}
	if opt.ReadingsOnly {
		for _, s := range f.steps {
			b.Readings = append(b.Readings, instant(s.line, s.at, s.tempC))
		}
		b.Rejects, b.MoreRejects = f.rejects.sorted(), f.rejects.more
		return b, nil
	}
	rule, err := NewDayRule(opt)
	if err != nil {
		return Batch{}, err
	}
	first, last := f.steps[0].date(rule), f.steps[len(f.steps)-1].date(rule)
	if last-first > longestForecastDays {
		return Batch{}, refuse("look whether this is the right address", "the steps run from %s to %s: that is no forecast", first, last)
	}
	b.Window, b.MeanOf, b.Winds = rule.Window, MeanReadings, f.winds.days(opt)
	f.days(&b, rule, first, last)
	b.Rejects, b.MoreRejects = f.rejects.sorted(), f.rejects.more
	return b, nil
}

func (f *forecastSteps) days(b *Batch, rule DayRule, first, last civil.Date) {
	var holes []Reject // since the last day that counts
	for date := first; date <= last; date++ {
		day, coverage := f.day(date, rule)
		if coverage >= rule.LeastShare-1e-9 {
			if len(b.Days) == 0 {
				b.Partial = append(b.Partial, holes...)
			} else {
				for _, h := range holes {
					f.rejects.add(h.Line, h.Text, h.Reason)
				}
			}
			holes = nil
			b.Days = append(b.Days, day)
			continue
		}
		holes = append(holes, Reject{Line: f.lineOf(date, rule), Text: date.String(),
			Reason: fmt.Sprintf("%.0f %% of the day is covered by steps of up to 6 h, %.0f %% are needed", math.Floor(coverage*100), rule.LeastShare*100)})
	}
	b.Partial = append(b.Partial, holes...)
}

// date gives the day in which the step lies, or its date where the window
// leaves its hour out.
func (s forecastStep) date(rule DayRule) civil.Date {
	if date, ok := rule.Window.dateOf(s.at, rule.Zone); ok {
		return date
	}
	return civil.At(s.at.In(rule.Zone))
}

// lineOf gives the number of the day's first step, or of the last before it.
func (f *forecastSteps) lineOf(date civil.Date, rule DayRule) int {
	for _, step := range f.steps {
		if step.date(rule) >= date {
			return step.line
		}
	}
	return f.steps[len(f.steps)-1].line
}

// day makes one day of the steps and gives the share of it that they cover.
// Between two steps the temperature is taken as a straight line, so the mean
// is weighted by time whatever the steps' lengths. The extremes are those of
// the line, widened by the given ones whose time lies wholly within the day.
func (f *forecastSteps) day(date civil.Date, rule DayRule) (d weather.Day, coverage float64) {
	start, end := rule.Window.bounds(date, rule.Zone)
	lowest, highest := math.Inf(1), math.Inf(-1)
	var sumKs, coveredS float64
	wide := false
	for i := 1; i < len(f.steps); i++ {
		from, to, ok := f.within(i, start, end)
		if !ok {
			continue
		}
		seconds := to.at.Sub(from.at).Seconds()
		sumKs += (from.tempC + to.tempC) / 2 * seconds
		coveredS += seconds
		lowest = min(lowest, from.tempC, to.tempC)
		highest = max(highest, from.tempC, to.tempC)
		wide = wide || f.steps[i].at.Sub(f.steps[i-1].at) > closeStep
	}
	if coveredS == 0 {
		return weather.Missing(date), 0
	}
	for _, span := range f.spans {
		if span.from.Before(start) || span.to.After(end) {
			continue
		}
		if span.minC < lowest { // false for NaN
			lowest = span.minC
		}
		if span.maxC > highest {
			highest = span.maxC
		}
	}
	d = weather.Day{Date: date, MinC: hundredths(lowest), MaxC: hundredths(highest), MeanC: hundredths(sumKs / coveredS)}
	if wide && f.closeExtremes {
		d.MinC, d.MaxC = math.NaN(), math.NaN()
	}
	return d, coveredS / end.Sub(start).Seconds()
}

// within clips the line from step i-1 to step i to the day; false when the
// two are too far apart or outside it.
func (f *forecastSteps) within(i int, start, end time.Time) (from, to forecastStep, ok bool) {
	from, to = f.steps[i-1], f.steps[i]
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
