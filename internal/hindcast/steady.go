package hindcast

import (
	"fmt"
	"math"
)

const (
	tellLog = 0.1 // least change of ln heat that is told, about 10 %
	tellK   = 0.5 // least change of temperatures that is told
)

// changes tells of what has changed at the stations.
func (h *hindcast) changes() (notes []string) {
	needs, temps := h.needs(), h.departures()
	for i, file := range sortedKeys(h.thermometers) {
		if c, ok := inOrder(needs[file]).change(uint64(i)); ok && math.Abs(c.size) >= tellLog {
			notes = append(notes, fmt.Sprintf("%s: plants seem to need %.0f %% %s heat %s: see whether its sensor was moved, or observers or plants changed; all years are used",
				file, 100*math.Abs(math.Exp(c.size)-1), moreOrLess(c.size, "more", "less"), c.when()))
		}
		if c, ok := inOrder(temps[file]).change(uint64(i)); ok && math.Abs(c.size) >= tellK {
			notes = append(notes, fmt.Sprintf("%s: %.1f K %s against the mean of the other files %s: see whether it was moved; all years are used",
				file, math.Abs(c.size), moreOrLess(c.size, "warmer", "colder"), c.when()))
		}
	}
	return notes
}

func moreOrLess(x float64, more, less string) string {
	if x < 0 {
		return less
	}
	return more
}

// needs gives each file's yearly mean of ln heat at its plants' dates, above 5
// °C from 1 March, less each plant's own mean.
func (h *hindcast) needs() map[string]map[int]float64 {
	need := h.families[0].felt[0].need
	mean, n := map[int]float64{}, map[int]float64{}
	for i, o := range h.panel.sights {
		if !math.IsNaN(need[i]) {
			mean[o.unit] += need[i]
			n[o.unit]++
		}
	}
	sums := means{}
	for i, o := range h.panel.sights {
		if !math.IsNaN(need[i]) && n[o.unit] > 1 {
			sums.add(o.file, o.year, need[i]-mean[o.unit]/n[o.unit])
		}
	}
	return sums.means()
}

// Two files are compared from January to June, the days that forecasts are
// made of, in years of which they share nearly all of them.
const (
	halfYear     = 181
	fewestShared = 150
)

// departures gives each file's yearly mean of its temperatures less another's
// on the same days, as a departure from the mean over the years, averaged over
// the other files: so that none appears warmer because another one ended.
func (h *hindcast) departures() map[string]map[int]float64 {
	files, sums := sortedKeys(h.thermometers), means{}
	for _, file := range files {
		for _, other := range files {
			if other == file {
				continue
			}
			apart := apart(h.thermometers[file], h.thermometers[other])
			var mean float64
			for _, x := range apart.x {
				mean += x / float64(len(apart.x))
			}
			for i, year := range apart.years {
				sums.add(file, year, apart.x[i]-mean)
			}
		}
	}
	return sums.means()
}

// apart is how much warmer one file is than another, by year.
func apart(a, b *thermometer) yearly {
	byYear := map[int]float64{}
	for year, t := range a.years {
		var sum, n float64
		other := b.years[year]
		if other == nil {
			continue
		}
		for i := range halfYear {
			if d := t[i] - other[i]; !math.IsNaN(d) {
				sum, n = sum+d, n+1
			}
		}
		if n >= fewestShared {
			byYear[year] = sum / n
		}
	}
	return inOrder(byYear)
}

// means are sums and counts by file and year.
type means map[string]map[int][2]float64

func (m means) add(file string, year int, x float64) {
	if m[file] == nil {
		m[file] = map[int][2]float64{}
	}
	s := m[file][year]
	m[file][year] = [2]float64{s[0] + x, s[1] + 1}
}

func (m means) means() map[string]map[int]float64 {
	out := map[string]map[int]float64{}
	for file, years := range m {
		out[file] = map[int]float64{}
		for y, s := range years {
			out[file][y] = s[0] / s[1]
		}
	}
	return out
}
