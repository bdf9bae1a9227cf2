package hindcast

import (
	"math"

	"budcall/internal/stage"
)

// requirement is mean and standard deviation of the ln heat that a plant needs,
// as known on a day: by past seasons, and by what this season's visits to the
// other plants have found.
func (s *season) requirement(l learned, o sight, issued int) (mean, sd float64) {
	plants := []stage.Plant{plantOf(o)}
	if s.h.request.OwnVisitsOnly {
		return l.known.Season(plants).Of(0, 0)
	}
	var limits []stage.Limit
	for _, q := range s.h.panel.sights {
		if q.year != s.year || q.unit == o.unit {
			continue
		}
		if limit, ok := s.limit(l.warmth, q, s.h.visit(issued)); ok {
			limit.Plant = len(plants)
			plants, limits = append(plants, plantOf(q)), append(limits, limit)
		}
	}
	return l.known.Season(plants).Given(limits).Of(0, 0)
}

func plantOf(o sight) stage.Plant { return stage.Plant{Site: o.site, Tree: o.tree} }

// visit is the last day of which reports have come in.
func (h *hindcast) visit(issued int) int { return issued - 1 - h.request.ReportDelayDays }

// limit is what is known of another plant: the day on which it was seen, or
// that it wasn't at the last visit.
func (s *season) limit(w stage.Warmth, q sight, visit int) (l stage.Limit, ok bool) {
	if visit < 0 {
		return l, false
	}
	sum := s.heatSoFar(w, q.file)
	l = stage.Limit{Lo: w.Met(sum, visit), Hi: math.Inf(1)}
	if q.day <= visit {
		l.Lo, l.Hi = w.Met(sum, q.day-1), w.Met(sum, q.day)
	}
	return l, !math.IsNaN(l.Lo) && !math.IsNaN(l.Hi)
}

// placeWarmth is a warmth at a temperature file's sites.
type placeWarmth struct {
	warmth stage.Warmth
	file   string
}

// heatSoFar is the season's heat by the end of each day, of which a caller
// reads only days that are over.
func (s *season) heatSoFar(w stage.Warmth, file string) []float64 {
	w.LatitudeDeg = s.h.panel.latDeg[file]
	k := placeWarmth{w, file}
	sum, ok := s.sums[k]
	if !ok {
		sum = w.YearSums(s.year, s.h.thermometers[file].carried(s.year))
		s.sums[k] = sum
	}
	return sum
}
