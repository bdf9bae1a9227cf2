package advance

import (
	"context"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// fitYears is how far back two stations are looked at side by side, where no
// more has been read anyway.
const fitYears = 6

// fit fits how the days of a site's other stations stand for those of its
// first, as far as they were read on the same days.
func fit(ranked []weather.Series) map[string]*weather.Stead {
	steads := map[string]*weather.Stead{}
	for i := range ranked {
		if i == 0 {
			continue
		}
		if s, ok := weather.FitStead(ranked[0], ranked[i]); ok {
			steads[ranked[i].Station] = &s
			ranked[i].Stead = &s
		}
	}
	return steads
}

// steads gives what the lore knows of the site's other stations. Without a
// lore it is fitted on the years before, where the first station has gaps.
func (g *grounds) steads(ctx context.Context, r Reader, t Task, l *lore, ranked []weather.Series) (map[string]*weather.Stead, error) {
	if l != nil {
		return l.steads, nil
	}
	newYear := civil.Of(g.year, 1, 1)
	if len(ranked) < 2 || unbroken(ranked[0].Days, civil.Range{First: newYear, Last: t.today() - 1}) {
		return nil, nil
	}
	past, err := stations(ctx, r, t, civil.Range{First: civil.Of(g.year-fitYears, 1, 1), Last: newYear - 1})
	if err != nil {
		return nil, err
	}
	return fit(past), nil
}

// unbroken tells whether sorted days have a usable reading on each of a range.
func unbroken(days []weather.Day, over civil.Range) bool {
	n := 0
	for _, d := range days {
		if _, _, ok := d.Mean(); ok && over.Has(d.Date) {
			n++
		}
	}
	return n == over.Len()
}
