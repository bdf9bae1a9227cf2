package hindcast

import (
	"budcall/internal/stage"
)

// felt is what each sight tells of a requirement counted in one warmth.
type felt struct {
	of   []stage.Felt
	need []float64 // ln heat needed, NaN where temperatures are missing
}

// feel counts the heat of every sight.
func feel(w stage.Warmth, p *panel, thermometers map[string]*thermometer) felt {
	var f felt
	sums := map[place][]float64{}
	for _, s := range p.sights {
		at := place{s.file, s.year}
		if sums[at] == nil {
			w.LatitudeDeg = p.latDeg[s.file]
			sums[at] = w.YearSums(s.year, thermometers[s.file].bridged(s.year))
		}
		of := w.Feel(sums[at], s.day-1, s.day)
		f.of, f.need = append(f.of, of), append(f.need, of.LogHeat)
	}
	return f
}

// place is where and when temperatures are from.
type place struct {
	file string
	year int
}
