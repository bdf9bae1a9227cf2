package ensemble

import (
	"hash/fnv"
	"math"
	"math/rand/v2"

	"budcall/internal/civil"
)

// slowDays is how many days the slower part of a generated departure lasts, our
// assumption: weather that stays for weeks.
const slowDays = 20.0

// leapYear is a year whose days stand for those of all.
const leapYear = 2032

// meanMonthDays is the mean length of a month.
const meanMonthDays = daysOfYear / 12

// Generator makes years that a place's normals could bring.
//
// A day is c(d) + σ(d)·(√q·u + √(1−q)·v). c is a smooth yearly course whose
// monthly means are the normals', σ one through the spreads of days, u and v are
// Gaussian with unit spread that go on from day to day, AR(1): u with
// e^(−1/20), v faster. q and v's persistence are solved for each month so that
// neighbouring days correlate as given and months' means spread as given. Where
// AR(1) alone spreads them more, q is 0 and the persistence gives way.
type Generator struct {
	site   string
	meanC  [366]float64 // by day of the year
	sdK    [366]float64
	months [12]departing
}

// departing is how departures go on in a month.
type departing struct {
	slow float64 // q, the slow part's share of the variance
	fast float64 // persistence of the fast part
}

// NewGenerator prepares a site's generator; year is the running one, to which
// the normals are brought by WarmingKPerYear.
func NewGenerator(site string, n Normals, year int) (*Generator, error) {
	if err := n.Check(); err != nil {
		return nil, err
	}
	n = n.completed()
	g := &Generator{site: site}
	var lnSD Months
	for i := range lnSD {
		n.MeanC[i] += WarmingKPerYear * (float64(year) + 0.5 - n.MidYear)
		lnSD[i] = math.Log(n.DaySDK[i])
		g.months[i] = departingAs(n.Persistence[i], n.MonthSDK[i]/n.DaySDK[i])
	}
	mean, spread, first := n.MeanC.smoothed(), lnSD.smoothed(), civil.Of(leapYear, 1, 1)
	for i := range g.meanC {
		g.meanC[i], g.sdK[i] = valueOf(mean, first+civil.Date(i)), math.Exp(valueOf(spread, first+civil.Date(i)))
	}
	return g, nil
}

// departingAs solves for departures that correlate from day to day as given and
// whose monthly means spread that quotient of the days' spread.
func departingAs(persistence, quotient float64) departing {
	slow, want := math.Exp(-1/slowDays), quotient*quotient
	fast := func(q float64) float64 { return (persistence - q*slow) / (1 - q) }
	if want <= monthVar(persistence) {
		return departing{fast: root(0, persistence, func(p float64) bool { return monthVar(p) < want })}
	}
	q := root(0, min(0.95, persistence/slow), func(q float64) bool {
		return q*monthVar(slow)+(1-q)*monthVar(fast(q)) < want
	})
	return departing{slow: q, fast: fast(q)}
}

// monthVar is the variance of a month's mean of AR(1) days with unit variance,
//
//	(1/n)·((1 + ρ)/(1 − ρ) − 2ρ(1 − ρⁿ)/(n(1 − ρ)²))
func monthVar(persistence float64) float64 {
	p, n := persistence, meanMonthDays
	return ((1+p)/(1-p) - 2*p*(1-math.Pow(p, n))/(n*(1-p)*(1-p))) / n
}

// root gives where below turns false between two numbers, by halving.
func root(low, high float64, below func(float64) bool) float64 {
	for range 50 {
		if mid := (low + high) / 2; below(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// Year gives days of a generated year, daily means in °C: member k's, from a
// day of the running year on. The same site, member and running year are the
// same weather always, from whichever day on they are asked for.
func (g *Generator) Year(member int, from civil.Date, days int) []float64 {
	h := fnv.New64a()
	h.Write([]byte(g.site))
	first := civil.Of(from.Year(), 1, 1)
	chance := rand.New(rand.NewPCG(h.Sum64(), uint64(from.Year())<<32|uint64(uint32(member))))
	u, v := chance.NormFloat64(), chance.NormFloat64()
	slow := math.Exp(-1 / slowDays)
	out := make([]float64, 0, days)
	for day := first; day < from+civil.Date(days); day++ {
		m := g.months[day.Month()-1]
		if day >= from {
			z := math.Sqrt(m.slow)*u + math.Sqrt(1-m.slow)*v
			i := day.YearDay() - 1
			out = append(out, g.meanC[i]+g.sdK[i]*z)
		}
		u = slow*u + math.Sqrt(1-slow*slow)*chance.NormFloat64()
		v = m.fast*v + math.Sqrt(1-m.fast*m.fast)*chance.NormFloat64()
	}
	return out
}
