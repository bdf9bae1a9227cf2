package hindcast

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

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
		c := course{first: civil.Of(s.year, 1, 1), warmth: l.warmth, mean: mean, sd: sd, weight: l.weight / float64(len(members.TempC))}
		for _, member := range members.TempC {
			c.add(by, spliced(observed[:issued], member))
		}
	}
	for i := range by {
		by[i] = min(1, by[i]/weights)
	}
	return by
}

// spliced is a member with the days so far as observed. A day whose reading is
// missing is the member's own.
func spliced(soFar, member []float64) []float64 {
	out := append([]float64(nil), member...)
	for i := 0; i < len(soFar) && i < len(out); i++ {
		if !math.IsNaN(soFar[i]) {
			out[i] = soFar[i]
		}
	}
	return out
}

// course is one requirement to be met by the temperatures of a season.
type course struct {
	first    civil.Date // 1 January
	warmth   stage.Warmth
	mean, sd float64 // of ln heat
	weight   float64
}

// Beyond so many standard deviations a chance is 0 or 1.
const tail = 7

// add adds the weighed chance by the end of each day.
func (c course) add(by, meansC []float64) {
	var sum float64
	for i := int(c.warmth.Start.In(c.first.Year()) - c.first); i < daysOfYear; i++ {
		if i < len(meansC) {
			sum += c.warmth.Of(c.first+civil.Date(i), meansC[i])
		}
		if sum <= 0 {
			continue
		}
		switch z := (math.Log(max(1, sum)) + c.warmth.Fallen(i) - c.mean) / c.sd; {
		case z > tail:
			for ; i < daysOfYear; i++ {
				by[i] += c.weight
			}
		case z > -tail:
			by[i] += c.weight * distuv.UnitNormal.CDF(z)
		}
	}
}

// visited cuts a forecast at the last visit that is known of.
func (s *season) visited(by []float64, issued int) ensemble.Days {
	first := civil.Of(s.year, 1, 1)
	return stage.Truncate(ensemble.Days{From: first, By: by}, stage.Bounds{NotYet: first + civil.Date(s.h.visit(issued))})
}

// drawn pools a forecast with the mean date, by how far off it is.
func drawn(mine, mean ensemble.Days, lead int) ensemble.Days {
	w := meanDateWeight(float64(lead))
	out := ensemble.Days{From: mine.From, By: make([]float64, len(mine.By))}
	for i := range out.By {
		out.By[i] = (1-w)*mine.By[i] + w*mean.On(mine.From+civil.Date(i))
	}
	return out
}

// meanDateWeight is the share of the mean date: half from 42 days on, a quarter
// from 21 to 28, none within a fortnight, and straight lines between.
func meanDateWeight(lead float64) float64 {
	between := func(from, to float64) float64 { return max(0, min(1, (lead-from)/(to-from))) }
	return 0.25*between(14, 21) + 0.25*between(28, 42)
}
