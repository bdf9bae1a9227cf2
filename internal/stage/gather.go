package stage

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/weather"
)

// Reached gives the chance that requirements in this counting are met by the
// end of each day of the members: of each requirement the mean over members of
// Φ((ln H(d) − m)/s). knownC are the days so far from the members' first on, as
// observed and shared by all; NaN is missing, and then the member's own day
// stands for it, drawn to the readings around it. Days before the start of the
// sum bring nothing.
func (w Warmth) Reached(m ensemble.Members, knownC []float64, needs []ensemble.Need) []ensemble.Days {
	return w.ReachedInDoubt(m, knownC, nil, needs)
}

// ReachedInDoubt is Reached where some of the known days weren't read here, and
// doubts state their error (none beyond its end). Each member then stands for
// two, one with the heat of these days a standard deviation of its sum higher
// and one as much lower: mean and variance are those of a sum that errs as
// stated, independently of the weather to come and without sampling noise.
func (w Warmth) ReachedInDoubt(m ensemble.Members, knownC []float64, doubts []weather.Doubt, needs []ensemble.Need) []ensemble.Days {
	g := gathering{warmth: w, from: m.From, start: max(0, int(w.Start.In(m.From.Year())-m.From))}
	if len(m.TempC) > 0 {
		g.days = len(m.TempC[0])
	}
	g.prepare(needs)
	signs := []float64{0}
	doubtCd := g.doubtCd(knownC, doubts)
	if doubtCd != nil {
		signs = []float64{-1, 1}
	}
	rows := make([][]float64, 0, len(m.TempC)*len(signs))
	buffer := make([]float64, cap(rows)*g.days)
	spliced := make([]float64, g.days)
	for _, t := range m.TempC {
		splice(spliced, t, knownC)
		for _, sign := range signs {
			row := buffer[:g.days:g.days]
			buffer = buffer[g.days:]
			g.errCd, g.errSign = doubtCd, sign
			g.sum(row, spliced)
			rows = append(rows, row)
		}
	}
	if w.FallPerDay == 0 {
		return ensemble.Heat{From: m.From, SumCd: rows}.Reached(needs)
	}
	for _, row := range rows {
		g.logs(row)
	}
	return ensemble.Sums{From: m.From, Log: rows}.Reached(needs)
}

// gathering is a counting over the days of a window.
type gathering struct {
	warmth    Warmth
	from      civil.Date
	days      int
	start     int       // day from which heat counts
	hours     []float64 // share of 12 hours of each day, of DayLength only
	enoughCd  float64   // heat, and ln of it with what the requirement has fallen,
	enoughLog float64   // from which on nothing more matters
	errCd     []float64 // by how much the heat of the first days may err,
	errSign   float64   // and which way it does
}

func (g *gathering) prepare(needs []ensemble.Need) {
	if g.warmth.Response == DayLength {
		g.hours = make([]float64, g.days)
		for i := range g.hours {
			g.hours[i] = DayLengthHours(g.warmth.LatitudeDeg, g.from+civil.Date(i)) / 12
		}
	}
	g.enoughCd, g.enoughLog = ensemble.Enough(needs), math.Log(ensemble.Enough(needs))
	if g.warmth.FallPerDay != 0 {
		g.enoughCd = math.Inf(1)
	}
}

// sum sets the heat gathered through each day, up to as much as is enough.
func (g *gathering) sum(sumCd, meansC []float64) {
	var sum float64
	for i := g.start; i < len(sumCd); i++ {
		c, before := meansC[i], sum
		switch g.warmth.Response {
		case ByMethod:
			sum += g.warmth.Rule.OfMean(c)
		case DayLength:
			sum += max(0, c-g.warmth.BaseC) * g.hours[i]
		default:
			sum += g.warmth.Of(g.from+civil.Date(i), c)
		}
		if i < len(g.errCd) {
			sum = max(before, sum+g.errSign*g.errCd[i])
		}
		sumCd[i] = sum
		if sum >= g.enoughCd {
			for i++; i < len(sumCd); i++ {
				sumCd[i] = sum
			}
		}
	}
}

// logs turns sums into logarithms, with what the requirement has fallen added.
func (g *gathering) logs(sumCd []float64) {
	first := int(g.from - civil.Of(g.from.Year(), 1, 1))
	for i, h := range sumCd {
		if h <= 0 {
			sumCd[i] = math.Inf(-1)
			continue
		}
		sumCd[i] = math.Log(max(1, h)) + g.warmth.Fallen(first+i)
		if sumCd[i] >= g.enoughLog {
			for k := i + 1; k < len(sumCd); k++ {
				sumCd[k] = sumCd[i]
			}
			return
		}
	}
}
