package hindcast

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// A station that is moved, or drifts, shows as a change of the heat that
// plants seem to need, and of its temperatures against its neighbours'. Both
// are looked for in yearly means: a step at the year that explains most, or a
// straight line, whichever explains more, against what the same means in
// another order would show. Our choice; like the standard normal homogeneity
// test, with the order's own chance in place of a table.
const (
	fewestToCompare = 10   // years
	fewestASide     = 4    // years before and after a step
	orders          = 999  // in which the means are tried
	rareShare       = 0.01 // of the orders that may show as much by chance
)

// change is a step or a drift in a row of yearly means.
type change struct {
	step     bool
	from, to int     // the year of a step, or the first and last year of a drift
	size     float64 // what is afterwards less what was before
}

// yearly is a row of yearly means, in order.
type yearly struct {
	years []int
	x     []float64
}

func inOrder(byYear map[int]float64) (y yearly) {
	for year := range byYear {
		y.years = append(y.years, year)
	}
	slices.Sort(y.years)
	for _, year := range y.years {
		y.x = append(y.x, byYear[year])
	}
	return y
}

// change looks for a step or drift that is no chance.
func (y yearly) change(seed uint64) (c change, found bool) {
	n := len(y.x)
	if n < fewestToCompare {
		return c, false
	}
	k, size, step := bestStep(y.x)
	slope, line := bestLine(y.years, y.x)
	most := max(step, line)
	if most <= 0 {
		return c, false
	}
	chance := rand.New(rand.NewPCG(seed, bootstrapSeed))
	as, shuffled := 0, slices.Clone(y.x)
	for range orders {
		chance.Shuffle(n, func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		_, _, s := bestStep(shuffled)
		_, l := bestLine(y.years, shuffled)
		if max(s, l) >= most {
			as++
		}
	}
	if float64(as+1) > rareShare*float64(orders+1) {
		return c, false
	}
	if step >= line {
		return change{step: true, from: y.years[k], size: size}, true
	}
	return change{from: y.years[0], to: y.years[n-1], size: slope * float64(y.years[n-1]-y.years[0])}, true
}

// bestStep gives where a step explains the most of the sum of squares, how
// high it is, and how much it explains.
func bestStep(x []float64) (at int, size, explains float64) {
	n, total := float64(len(x)), 0.0
	for _, v := range x {
		total += v
	}
	before := 0.0
	for k := 1; k <= len(x)-fewestASide; k++ {
		if before += x[k-1]; k < fewestASide {
			continue
		}
		a := float64(k)
		d := (total-before)/(n-a) - before/a
		if e := d * d * a * (n - a) / n; e > explains {
			at, size, explains = k, d, e
		}
	}
	return at, size, explains
}

// bestLine gives the slope a year of a straight line, and how much it explains.
func bestLine(years []int, x []float64) (slope, explains float64) {
	var my, mx float64
	for i, v := range x {
		my += float64(years[i]) / float64(len(x))
		mx += v / float64(len(x))
	}
	var yy, yx float64
	for i, v := range x {
		yy += sq(float64(years[i]) - my)
		yx += (float64(years[i]) - my) * (v - mx)
	}
	if yy == 0 {
		return 0, 0
	}
	return yx / yy, yx * yx / yy
}

func (c change) when() string {
	if c.step {
		return fmt.Sprintf("from %d on than before", c.from)
	}
	return fmt.Sprintf("in %d than in %d, changing little by little", c.to, c.from)
}
