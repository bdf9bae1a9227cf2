package weather

import (
	"math"

	"budcall/internal/civil"
)

// element is one of a day's three temperatures.
type element int

// The mean comes first: it is the least noisy and the one that heats need.
const (
	mean element = iota
	minimum
	maximum
	elements
)

func (e element) String() string { return [...]string{"mean", "minimum", "maximum"}[e] }

// panel is the values of several stations side by side, NaN for none.
type panel struct {
	first civil.Date
	days  int
	code  []string
	c     [][elements][]float64 // by station, element, day
	month []int8                // 0 January, by day
	half  []bool                // the sixteenth of a month
	part  []float64             // how far a day is from the middle of its month to the next (or last) one, -0.5…0.5
}

// newPanel lays the series beside each other. A day that was marked by what
// stands in it alone (Judge, a conflict, the whole file in °F) counts as
// missing; one that a Watch marked before is judged anew.
func newPanel(series []Series) *panel {
	p := &panel{}
	last := civil.Date(math.MinInt32)
	p.first = civil.Date(math.MaxInt32)
	for _, s := range series {
		if n := len(s.Days); n > 0 {
			p.first, last = min(p.first, s.Days[0].Date), max(last, s.Days[n-1].Date)
		}
	}
	if last < p.first {
		return p
	}
	p.days = int(last-p.first) + 1
	for _, s := range series {
		p.code = append(p.code, s.Station)
		p.c = append(p.c, p.column(s.Days))
	}
	p.calendar()
	return p
}

func (p *panel) column(days []Day) (col [elements][]float64) {
	backing := make([]float64, int(elements)*p.days)
	for i := range backing {
		backing[i] = math.NaN()
	}
	for e := range col {
		col[e] = backing[e*p.days : (e+1)*p.days]
	}
	for _, d := range days {
		d = Judge(d)
		if d.Mark != Usable && !d.Mark.ByComparison() {
			continue
		}
		d.Mark = Usable
		t := int(d.Date - p.first)
		m, _, _ := d.Mean()
		col[mean][t], col[minimum][t], col[maximum][t] = m, d.MinC, d.MaxC
	}
	return col
}

func (p *panel) calendar() {
	p.month, p.part, p.half = make([]int8, p.days), make([]float64, p.days), make([]bool, p.days)
	for t := range p.days {
		d := (p.first + civil.Date(t)).Midnight()
		p.month[t] = int8(d.Month() - 1)
		p.half[t] = d.Day() == 16
		p.part[t] = (float64(d.Day())-0.5)/30.4 - 0.5
	}
}

// yearly is a quantity by month, its value in the middle of each.
type yearly [12]float64

// at gives the value of a day, on a straight line between two months' middles.
func (y *yearly) at(p *panel, t int) float64 {
	m, part := int(p.month[t]), p.part[t]
	if part < 0 {
		return y[m]*(1+part) - y[(m+11)%12]*part
	}
	return y[m]*(1-part) + y[(m+1)%12]*part
}

// has tells whether a station has any value on a day.
func (p *panel) has(s, t int) bool {
	c := &p.c[s]
	return !math.IsNaN(c[mean][t]) || !math.IsNaN(c[minimum][t]) || !math.IsNaN(c[maximum][t])
}
