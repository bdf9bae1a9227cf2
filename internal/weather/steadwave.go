package weather

import (
	"math"
	"slices"

	"budcall/internal/civil"
)

// wave is a yearly course: a mean, and cosine and sine of the year.
type wave [3]float64

func (w wave) at(x [3]float64) float64 { return w[0]*x[0] + w[1]*x[1] + w[2]*x[2] }

// wavesOf gives what a wave is made of on a day.
func wavesOf(day civil.Date) [3]float64 {
	sin, cos := math.Sincos(2 * math.Pi * float64(day.YearDay()-1) / 365.25)
	return [3]float64{1, cos, sin}
}

// fitWave fits the course of an element's differences about one that is
// assumed, and gives the variance of its error in K² and how many days it
// rests on.
func fitWave(both []sideBySide, element int, prior wave, levelK float64) (w wave, variance float64, days int) {
	priorVar := wave{sq(levelK), sq(steadWaveK), sq(steadWaveK)}
	w, variance = prior, priorVar[0]+priorVar[1]
	apart := make([]float64, 0, len(both))
	for _, b := range both {
		if a := b.apartK[element]; !math.IsNaN(a) {
			apart = append(apart, a)
		}
	}
	if len(apart) == 0 {
		return w, variance, 0
	}
	middle, spread := middleOf(apart)
	centre := wave{middle, 0, 0}
	for range 3 { // what is left out hangs on the course, which hangs on what is left out
		l := leastSquares{prior: prior, priorVar: priorVar}
		for _, b := range both {
			x := wavesOf(b.day)
			if a := b.apartK[element]; math.Abs(a-centre.at(x)) <= steadClipSDs*spread {
				l.add(x, a, 1/(sq(spread)*steadAlike))
			}
		}
		w, variance, days = l.solve(), l.variance(), l.days
		centre = w
		for i, k := 0, 0; i < len(both); i++ {
			if a := both[i].apartK[element]; !math.IsNaN(a) {
				apart[k] = a - w.at(wavesOf(both[i].day))
				k++
			}
		}
		_, spread = middleOf(apart)
	}
	return w, variance, days
}

// leastSquares gathers the normal equations of a wave about a Gaussian that is
// assumed.
type leastSquares struct {
	prior, priorVar wave
	precision       [3][3]float64
	moved           [3]float64
	days            int
}

func (l *leastSquares) add(x [3]float64, y, weight float64) {
	y -= l.prior.at(x)
	for i := range x {
		l.moved[i] += weight * x[i] * y
		for k := range x {
			l.precision[i][k] += weight * x[i] * x[k]
		}
	}
	l.days++
}

// covariance is the inverse of the precision, by cofactors: with what is assumed
// on its diagonal the precision is definite, and three by three.
func (l *leastSquares) covariance() (c [3][3]float64) {
	p := l.precision
	for i := range p {
		p[i][i] += 1 / l.priorVar[i]
	}
	cofactor := func(i, k int) float64 {
		a, b, x, y := (i+1)%3, (i+2)%3, (k+1)%3, (k+2)%3
		return p[a][x]*p[b][y] - p[a][y]*p[b][x]
	}
	det := p[0][0]*cofactor(0, 0) + p[0][1]*cofactor(0, 1) + p[0][2]*cofactor(0, 2)
	for i := range c {
		for k := range c {
			c[i][k] = cofactor(k, i) / det
		}
	}
	return c
}

func (l *leastSquares) solve() wave {
	w := l.prior
	for i, row := range l.covariance() {
		w[i] += row[0]*l.moved[0] + row[1]*l.moved[1] + row[2]*l.moved[2]
	}
	return w
}

// variance is that of the course's error, in K², in the mean of a year.
func (l *leastSquares) variance() float64 {
	c := l.covariance()
	return c[0][0] + (c[1][1]+c[2][2])/2
}

// middleOf gives the median, and 1.4826 times the median distance from it,
// which of a normal distribution is its standard deviation. It keeps a.
func middleOf(a []float64) (median, spread float64) {
	sorted := slices.Clone(a)
	slices.Sort(sorted)
	median = sorted[len(sorted)/2]
	for i := range sorted {
		sorted[i] = math.Abs(sorted[i] - median)
	}
	slices.Sort(sorted)
	return median, max(steadFloorK, 1.4826*sorted[len(sorted)/2])
}
