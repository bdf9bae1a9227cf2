package pull

import (
	"context"
	"fmt"
	"math"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// doubts tells the ops person, near a call's days, what is doubted of late,
// with both readings, or that nothing is any more. At other times a doubt is
// marked and counted.
func (j *Job) doubts(ctx context.Context, o Order, fresh []weather.Verdict) error {
	subject := o.Name + " doubt"
	switch {
	case len(fresh) == 0:
		return j.Over(ctx, subject)
	case !o.Critical:
		return nil
	}
	var lines []string
	for _, v := range fresh {
		use := "isn't used"
		if v.Mark == weather.Usable {
			use = "is used"
		}
		lines = append(lines, fmt.Sprintf("%s of %s %s: %s", v.Date, station(o), use, v.Reason))
	}
	return j.Trouble(ctx, subject, strings.Join(lines, "\n")+"\nLook at the station; a value that is right after all counts again once its neighbours or a correction say so.")
}

// byThemselves gives the days of late that can't be, whatever others say, with
// what the neighbours read.
func byThemselves(w weather.Watch, today civil.Date) (found []weather.Verdict) {
	for _, d := range w.Series[0].Days {
		if d.Date < today-freshDays || d.Mark == weather.Usable || d.Mark.ByComparison() || d.Provisional {
			continue
		}
		found = append(found, weather.Verdict{
			Station: w.Series[0].Station, Date: d.Date, Found: d.Date, Mark: d.Mark,
			Reason: fmt.Sprintf("%s: %s; %s", d.Mark, reading(d), beside(w.Series[1:], d.Date)),
		})
	}
	return found
}

// reading writes a day's values as "minimum 12.0, maximum 9.0, mean 10.0 °C".
func reading(d weather.Day) string {
	var parts []string
	for _, e := range []struct {
		what string
		c    float64
	}{{"minimum", d.MinC}, {"maximum", d.MaxC}, {"mean", d.MeanC}} {
		if !math.IsNaN(e.c) {
			parts = append(parts, fmt.Sprintf("%s %.1f", e.what, e.c))
		}
	}
	return strings.Join(parts, ", ") + " °C"
}

// beside says what the neighbours read on a day.
func beside(neighbours []weather.Series, date civil.Date) string {
	var parts []string
	for _, s := range neighbours {
		for i := len(s.Days) - 1; i >= 0 && s.Days[i].Date >= date; i-- {
			if c, _, ok := s.Days[i].Mean(); ok && s.Days[i].Date == date {
				parts = append(parts, fmt.Sprintf("%s %.1f °C", s.Station, c))
			}
		}
	}
	if len(parts) == 0 {
		return "no neighbour has a reading of that day"
	}
	return "the neighbours' mean that day: " + strings.Join(parts, ", ")
}
