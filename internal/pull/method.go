package pull

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// methods tells the ops person where a station's means of the running year are
// of two kinds, since the heat of the season then has a step.
func (j *Job) methods(ctx context.Context, o Order, h weather.Haul) error {
	if j.Past == nil || o.Class != "station" || o.BackFill || len(h.Days) == 0 {
		return nil
	}
	year := civil.At(o.Now.In(o.Zone)).Year()
	stored, err := j.Past(ctx, station(o), year, year)
	if err != nil {
		return err
	}
	days := slices.DeleteFunc(laid(stored, h.Days), func(d weather.Day) bool { return d.Date.Year() != year })
	subject := o.Name + " method"
	m, mixed := weather.MixedMeans(days)
	if !mixed {
		return j.Over(ctx, subject)
	}
	var counts []string
	for _, of := range []weather.MeanOf{weather.MeanPublished, weather.MeanReadings, weather.MeanStated, weather.MeanMidRange} {
		if n := m.Days[of]; n > 0 {
			counts = append(counts, fmt.Sprintf("%s (%d)", of, n))
		}
	}
	return j.Trouble(ctx, subject, fmt.Sprintf(
		"%s: the daily means of %d are of several kinds: %s. The first change: %s is %s, %s is %s. Such means differ by up to several kelvin on a day, and one heat sum holds both.\nSettle for one: let the source bring the means that are missing, or leave the mean out of the settings, so that all are (max+min)/2; where that can't be, count with it.",
		o.Name, year, strings.Join(counts, ", "), m.First.Date, m.First.Method(), m.Then.Date, m.Then.Method()))
}
