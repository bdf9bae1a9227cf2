package hindcast

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"budcall/internal/civil"
)

// sight is one observation of the phase that is scored: a unit's day of a year.
type sight struct {
	unit, year int
	site, tree int // tree is −1 where trees aren't told apart
	day        int // days since 1 January
	file       string
}

// panel is what is scored: units by years.
type panel struct {
	units  []string
	sights []sight
	latDeg map[string]float64 // of each temperature file's sites
	notes  []string
}

func (p *panel) note(format string, args ...any) {
	p.notes = append(p.notes, fmt.Sprintf(format, args...))
}

// assumedLatitudeDeg stands in where a file names none: the middle of the
// birch's range. Our assumption.
const assumedLatitudeDeg = 55

// newPanel gathers chosen observations into units.
func newPanel(chosen choice, per Unit) *panel {
	p := &panel{latDeg: map[string]float64{}, notes: chosen.notes}
	p.latitudes(chosen.kept)
	switch per {
	case PerYear:
		p.byYear(chosen.kept)
	case PerTree:
		p.byPlant(chosen.kept, func(o Observation) string { return plantName(o) })
	default:
		p.byPlant(chosen.kept, func(o Observation) string { return o.Site })
	}
	return p
}

func plantName(o Observation) string {
	if o.Tree == "" {
		return o.Site
	}
	return o.Site + " " + o.Tree
}

// latitudes sets the mean latitude of each temperature file's observations.
func (p *panel) latitudes(obs []Observation) {
	sum, n := map[string]float64{}, map[string]float64{}
	files := map[string]bool{}
	for _, o := range obs {
		files[o.TemperatureFile] = true
		if !math.IsNaN(o.LatitudeDeg) {
			sum[o.TemperatureFile] += o.LatitudeDeg
			n[o.TemperatureFile]++
		}
	}
	for _, f := range sortedKeys(files) {
		if n[f] > 0 {
			p.latDeg[f] = sum[f] / n[f]
			continue
		}
		if p.latDeg[f] = assumedLatitudeDeg; f == "" {
			continue // told as a file that is missing
		}
		p.note("no latitude is given for the sites of %q: %d° is assumed for the length of the day, add a column lat", f, assumedLatitudeDeg)
	}
}

// byPlant makes a unit of each name; of several observations in a year, such
// as a site's trees, the mean day counts.
func (p *panel) byPlant(obs []Observation, name func(Observation) string) {
	type sum struct {
		days, n float64
		o       Observation
	}
	sums := map[string]map[int]*sum{}
	for _, o := range obs {
		u := name(o)
		if sums[u] == nil {
			sums[u] = map[int]*sum{}
			p.units = append(p.units, u)
		}
		s := sums[u][o.Year]
		if s == nil {
			s = &sum{o: o}
			sums[u][o.Year] = s
		}
		s.days, s.n = s.days+float64(dayOfYear(o)), s.n+1
	}
	slices.Sort(p.units)
	sites := map[string]int{}
	for i, u := range p.units {
		for _, year := range slices.Sorted(maps.Keys(sums[u])) {
			s := sums[u][year]
			site, ok := sites[s.o.Site]
			if !ok {
				site = len(sites)
				sites[s.o.Site] = site
			}
			tree := -1
			if u != s.o.Site {
				tree = i
			}
			p.sights = append(p.sights, sight{unit: i, year: year, site: site, tree: tree, day: int(math.Round(s.days / s.n)), file: s.o.TemperatureFile})
		}
	}
	p.sort()
}

// byYear makes one unit of the series: the mean over its plants of how many
// days each was off its own mean, on top of the mean of those. Its temperatures
// are of the file that most observations name.
func (p *panel) byYear(obs []Observation) {
	mean, n := map[string]float64{}, map[string]float64{}
	for _, o := range obs {
		mean[plantName(o)] += float64(dayOfYear(o))
		n[plantName(o)]++
	}
	var grand float64
	for _, name := range sortedKeys(mean) {
		mean[name] /= n[name]
		grand += mean[name] / float64(len(n))
	}
	off, count, file := map[int]float64{}, map[int]float64{}, p.mostUsed(obs)
	for _, o := range obs {
		off[o.Year] += float64(dayOfYear(o)) - mean[plantName(o)]
		count[o.Year]++
	}
	p.units = []string{"all"}
	for y, sum := range off {
		p.sights = append(p.sights, sight{year: y, tree: -1, day: int(math.Round(grand + sum/count[y])), file: file})
	}
	p.sort()
}

// mostUsed is the file that most observations name.
func (p *panel) mostUsed(obs []Observation) (file string) {
	n := map[string]int{}
	for _, o := range obs {
		n[o.TemperatureFile]++
	}
	for _, f := range sortedKeys(n) {
		if n[f] > n[file] {
			file = f
		}
	}
	if len(n) > 1 {
		p.note("the year as a whole is forecast by the temperatures of %q alone, which %d of %d observations name", file, n[file], len(obs))
	}
	return file
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// sort puts the sights in the order of years and units.
func (p *panel) sort() {
	slices.SortFunc(p.sights, func(a, b sight) int {
		return cmp.Or(cmp.Compare(a.year, b.year), cmp.Compare(a.unit, b.unit))
	})
}

func dayOfYear(o Observation) int { return int(o.Day - civil.Of(o.Year, 1, 1)) }

// years lists the years with a sight, ascending.
func (p *panel) years() []int {
	var ys []int
	for _, s := range p.sights {
		if n := len(ys); n == 0 || ys[n-1] != s.year {
			ys = append(ys, s.year)
		}
	}
	return ys
}
