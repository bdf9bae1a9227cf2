package hindcast

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
)

// forecast gives the chance that a sight's stage is reached by the end of each
// day, as issued on a day of the season (both counted from 1 January): the
// equal pool of the heats, before the plant's own visit. It is nil where there
// are no members or no heat.
func (s *season) forecast(o sight, issued int) []float64 {
	members := s.outlook(outlook{o.file, issued})
	if len(members.TempC) == 0 || len(s.heats) == 0 {
		return nil
	}
	observed := s.h.thermometers[o.file].years[s.year]
	var weights float64
	by := make([]float64, daysOfYear)
	for _, l := range s.heats {
		weights += l.weight
		l.warmth.LatitudeDeg = s.h.panel.latDeg[o.file]
		mean, sd := s.requirement(l, o, issued)
		days := l.warmth.Reached(members, observed[:issued], []ensemble.Need{{MeanLog: mean, SD: sd}})[0]
		for i := range by {
			by[i] += l.weight * days.On(days.From+civil.Date(i))
		}
	}
	for i := range by {
		by[i] = min(1, by[i]/weights)
	}
	return by
}

// visited cuts a forecast at the last visit that is known of.
func (s *season) visited(by []float64, issued int) ensemble.Days {
	first := civil.Of(s.year, 1, 1)
	return stage.Truncate(ensemble.Days{From: first, By: by}, stage.Bounds{NotYet: first + civil.Date(s.h.visit(issued))})
}
