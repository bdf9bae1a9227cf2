package trail

import (
	"fmt"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
)

// Masses is a lot's mass before and after drying, in grams; 0: not weighed.
type Masses struct {
	BeforeG float64 `json:"before_g,omitempty"`
	AfterG  float64 `json:"after_g,omitempty"`
}

func (m *Masses) check() error {
	if m == nil || m.BeforeG == 0 && m.AfterG == 0 {
		return fmt.Errorf("no mass is given: give the one before drying, after it, or both, in grams")
	}
	for _, w := range []struct {
		name string
		g    float64
	}{{"a mass before drying", m.BeforeG}, {"a mass after drying", m.AfterG}} {
		if w.g != 0 {
			if err := mass(w.name, w.g); err != nil {
				return err
			}
		}
	}
	if m.BeforeG != 0 && m.AfterG > m.BeforeG {
		return fmt.Errorf("seed of %g g can't weigh %g g after drying: were they swapped?", m.BeforeG, m.AfterG)
	}
	return nil
}

// Moisture is samples of seed, weighed in a container before and after drying
// in an oven.
type Moisture struct {
	Samples []Sample `json:"samples"`
}

// Sample is one of them: masses in grams of the container with its lid, of both
// with the seed before drying, and after it.
type Sample struct {
	ContainerG float64 `json:"container_g"`
	BeforeG    float64 `json:"before_g"`
	AfterG     float64 `json:"after_g"`
}

// Percent is the moisture content in per cent of the fresh mass (wet basis):
// 100 (M2 − M3)/(M2 − M1), M1 the container, M2 with seed before and M3 after
// drying, as the International Rules for Seed Testing have it (common practice,
// from memory).
func (s Sample) Percent() float64 { return 100 * (s.BeforeG - s.AfterG) / (s.BeforeG - s.ContainerG) }

// Percent is the mean of the samples.
func (m Moisture) Percent() float64 {
	var values []float64
	for _, s := range m.Samples {
		values = append(values, s.Percent())
	}
	return stat.Mean(values, nil)
}

func (m *Moisture) check() error {
	if m == nil || len(m.Samples) == 0 {
		return fmt.Errorf("no sample is given: give the container's mass, and with seed before and after drying, in grams")
	}
	for _, s := range m.Samples {
		for _, g := range []float64{s.ContainerG, s.BeforeG, s.AfterG} {
			if err := mass("a container or sample", g); err != nil {
				return err
			}
		}
		if !(s.ContainerG < s.AfterG && s.AfterG <= s.BeforeG) {
			return fmt.Errorf("container %g g, with seed %g g before and %g g after drying: each of them must be in the order container < after <= before", s.ContainerG, s.BeforeG, s.AfterG)
		}
	}
	return nil
}

// SeedWeight is replicates of so many seeds, weighed.
type SeedWeight struct {
	Seeds int       `json:"seeds"` // in each replicate
	Grams []float64 `json:"grams"`
}

// ThousandG is the mass of a thousand seeds in grams: the mean of the
// replicates, times 1000 seeds over those of a replicate.
func (w SeedWeight) ThousandG() float64 { return stat.Mean(w.Grams, nil) * 1000 / float64(w.Seeds) }

// VariationPercent is the replicates' coefficient of variation, 100 times their
// standard deviation over their mean; 0 for a single one.
func (w SeedWeight) VariationPercent() float64 {
	if len(w.Grams) < 2 {
		return 0
	}
	return 100 * stat.StdDev(w.Grams, nil) / stat.Mean(w.Grams, nil)
}

// MostVariationPercent is the variation above which replicates are weighed
// anew: 6 % for seed with wings and husks, as the International Rules for Seed
// Testing have it (from memory).
const MostVariationPercent = 6

func (w *SeedWeight) check() error {
	switch {
	case w == nil || len(w.Grams) == 0:
		return fmt.Errorf("no replicate is given: give the mass of each, in grams")
	case w.Seeds < 1 || w.Seeds > 10_000:
		return fmt.Errorf("%d seeds in a replicate can't be: give 1 to 10000", w.Seeds)
	}
	for _, g := range w.Grams {
		if err := mass("a replicate", g); err != nil {
			return err
		}
	}
	return nil
}

// Filled is seed that was cut or X-rayed. Several entries of a lot are several
// samples, and add up; each after the first must be said to be Data.Another.
type Filled struct {
	Filled  int `json:"filled"`
	Tested  int `json:"tested"`
	Catkins int `json:"catkins,omitempty"` // the tested seeds are all that these catkins held; 0: not counted
}

func (f *Filled) check() error {
	switch {
	case f == nil || f.Tested < 1:
		return fmt.Errorf("it isn't said how many seeds were tested: give at least 1")
	case f.Filled < 0 || f.Filled > f.Tested:
		return fmt.Errorf("%d filled of %d tested seeds can't be: were they swapped?", f.Filled, f.Tested)
	case f.Catkins < 0:
		return fmt.Errorf("%d catkins can't be: give how many held the tested seeds, or leave it out", f.Catkins)
	}
	return nil
}

// Sown is the begin of a germination test.
type Sown struct {
	Seeds     []int `json:"seeds"`      // in each replicate
	CountDays []int `json:"count_days"` // days after sowing on which to count, in order
}

// DefaultCountDays are the days of the first and the last count for birch in
// the International Rules for Seed Testing (from memory).
var DefaultCountDays = []int{7, 21}

func (s *Sown) check() error {
	if s == nil || len(s.Seeds) == 0 {
		return fmt.Errorf("no replicate is given: give the number of seeds in each")
	}
	for _, n := range s.Seeds {
		if n < 1 || n > 10_000 {
			return fmt.Errorf("%d seeds in a replicate can't be: give 1 to 10000", n)
		}
	}
	before := 0
	for _, d := range s.CountDays {
		if d <= before || d > 366 {
			return fmt.Errorf("count days %v can't be: give days after sowing, each later than the one before", s.CountDays)
		}
		before = d
	}
	if len(s.CountDays) == 0 {
		return fmt.Errorf("no count day is given: give days after sowing, such as 7 and 21")
	}
	return nil
}

// Counted is a count of a germination test: all that have germinated by then,
// in each replicate in the order in which they were sown.
type Counted struct {
	Germinated []int `json:"germinated"`
}

func (c *Counted) check() error {
	if c == nil || len(c.Germinated) == 0 {
		return fmt.Errorf("no count is given: give how many have germinated so far in each replicate")
	}
	for _, n := range c.Germinated {
		if n < 0 {
			return fmt.Errorf("%d germinated seeds can't be: give 0 or more", n)
		}
	}
	return nil
}

// Germination is a germination test with its counts.
type Germination struct {
	Sown       civil.Date `json:"sown"`
	Seeds      []int      `json:"seeds"`
	Germinated []int      `json:"germinated,omitempty"` // at the latest count
	Counted    civil.Date `json:"counted,omitempty"`    // the day of it
	Due        civil.Date `json:"due,omitempty"`        // the next count day; zero: all are done
	countDays  []int
}

// Share is the part of all seeds that had germinated, with its interval.
func (g Germination) Share() Share { return ShareOf(total(g.Germinated), total(g.Seeds)) }

// Fits says why a count can't be of this test, nothing where it can: nothing
// germinates on the day of sowing, and each replicate has a number that is no
// larger than that of its seeds.
func (g Germination) Fits(c Counted, day civil.Date) (why string) {
	switch {
	case day < g.Sown:
		return fmt.Sprintf("it was counted on %s, before the seed was sown on %s", day, g.Sown)
	case day == g.Sown:
		return fmt.Sprintf("it was counted on %s, the day of sowing, on which nothing has germinated yet", day)
	case len(c.Germinated) != len(g.Seeds):
		return fmt.Sprintf("the counts don't fit the replicates that were sown: %d counts, %d replicates", len(c.Germinated), len(g.Seeds))
	}
	for i, n := range c.Germinated {
		if n > g.Seeds[i] {
			return fmt.Sprintf("the counts don't fit the replicates that were sown: %d germinated of %d in replicate %d", n, g.Seeds[i], i+1)
		}
	}
	return ""
}

// count books a count, or says why it isn't used.
func (g *Germination) count(c Counted, day civil.Date) (unused string) {
	if why := g.Fits(c, day); why != "" {
		return why
	}
	if day >= g.Counted {
		g.Germinated, g.Counted = c.Germinated, day
	}
	g.remind()
	return ""
}

// remind sets the day of the next count: the first count day after the latest
// count.
func (g *Germination) remind() {
	g.Due = 0
	for _, d := range g.countDays {
		if on := g.Sown + civil.Date(d); on > g.Counted {
			g.Due = on
			return
		}
	}
}

func total(list []int) (sum int) {
	for _, n := range list {
		sum += n
	}
	return sum
}
