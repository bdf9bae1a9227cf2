package replay

import (
	"cmp"
	"context"
	"slices"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// blow keeps the winds that a station brought, of the open years.
func (st *station) blow(h weather.Haul) {
	for _, w := range h.Winds {
		if w.Date.Year() < h.OpenYear {
			continue
		}
		if st.winds == nil {
			st.winds = map[civil.Date]weather.Wind{}
		}
		st.winds[w.Date] = w
	}
}

// Winds gives a station's winds of some days, sorted.
func (s *sky) Winds(_ context.Context, code string, over civil.Range) (out []weather.Wind, err error) {
	if given := s.series[code]; given != nil {
		for _, w := range given.winds {
			if over.Has(w.Date) {
				out = append(out, w)
			}
		}
	}
	if st := s.stations[code]; st != nil {
		for _, w := range st.winds {
			if w.Date >= over.First && w.Date <= over.Last {
				out = append(out, w)
			}
		}
	}
	slices.SortFunc(out, func(a, b weather.Wind) int { return cmp.Compare(a.Date, b.Date) })
	return out, nil
}

// OutlookWinds gives none: forecasts of past seasons are kept without wind.
func (s *sky) OutlookWinds(context.Context, string, time.Time) ([]weather.Wind, error) {
	return nil, nil
}
