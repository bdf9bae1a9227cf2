package stage

import (
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// Dated is a stage that was reported seen in a past season: reached after one
// day and by the end of another, both counted from 1 January as 0.
type Dated struct {
	Stage, Year int // Stage is an index
	After, By   int
}

const (
	usualGapDays = 7  // from the last look to the one that found it, where no look before is known: our assumption
	longGapDays  = 45 // beyond it a look before says no more than none
)

// DatedOf gives the stages that the reports of a site's season say were seen.
// A stage that was only passed by a later one has no date.
func DatedOf(stages []Stage, year int, reports []trail.Report) (dated []Dated) {
	kept, first := standing(reports), civil.Of(year, 1, 1)
	for i, s := range stages {
		seen := said(kept, s.Code).Seen
		if seen == 0 || seen.Year() != year {
			continue
		}
		b := Bounds{Seen: seen, NotYet: BoundsOf(reports, s.Code).NotYet}
		after := b.before()
		if after < seen-longGapDays {
			after = seen - usualGapDays
		}
		dated = append(dated, Dated{i, year, int(max(after, first-1) - first), int(seen - first)})
	}
	return dated
}

// Day is the middle of the days on which it was reached, counted from 1 January
// as 0.
func (d Dated) Day() float64 { return float64(d.After+1+d.By) / 2 }

// YearMeans is, by year, daily means in °C from 1 January on, NaN or the end
// where missing.
type YearMeans map[int][]float64

// Years lists the years, ascending.
func (m YearMeans) Years() (years []int) {
	for y := range m {
		years = append(years, y)
	}
	slices.Sort(years)
	return years
}

// Sights counts the heat of dated stages in one counting, given by stage, and
// in units of what is needed in it. Sights without temperatures are left out.
func Sights(dated []Dated, means YearMeans, warmths []Warmth, needs []Requirement) (sights []Sight) {
	var sums [][]float64
	of := -1
	for _, d := range dated {
		if d.Year != of {
			of, sums = d.Year, yearSums(warmths, d.Year, Bridged(means[d.Year]))
		}
		if len(sums[d.Stage]) <= d.By {
			continue
		}
		f := warmths[d.Stage].Feel(sums[d.Stage], d.After, d.By)
		if math.IsNaN(f.LogHeat) {
			continue
		}
		s := Sight{Past: Past{Tree: -1, Year: d.Year, Stage: d.Stage, LogHeat: f.LogHeat, NoiseVar: f.NoiseVar}, LogRate: f.LogRate, Hardly: f.Hardly}
		sights = append(sights, needs[d.Stage].Standard(s))
	}
	return sights
}

// yearSums sums a year once for each counting that differs.
func yearSums(warmths []Warmth, year int, means []float64) [][]float64 {
	sums := make([][]float64, len(warmths))
	for i, w := range warmths {
		for j := range i {
			if sameHeat(warmths[j], w) {
				sums[i] = sums[j]
			}
		}
		if sums[i] == nil {
			sums[i] = w.YearSums(year, means)
		}
	}
	return sums
}
