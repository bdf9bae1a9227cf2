package ensemble

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat"

	"budcall/internal/civil"
)

// Members is the weather to come as past years, each as likely as the others.
//
// TempC[m][i] is the daily mean of member m on the day From+i of the running
// year, in °C: the temperature of the day that lay as many days after the
// start in the member's year. No member has a hole.
type Members struct {
	From  civil.Date
	Years []int
	TempC [][]float64
}

// Mean is the mean temperature of a day, read or forecast.
type Mean struct {
	Date  civil.Date
	MeanC float64 // °C; NaN is a day without one
}

// Alignment says how past years become members of the running one.
type Alignment struct {
	Start   civil.MonthDay // days are counted from this day in every year, never by day of the year
	Year    int            // the running year, itself never a member
	Horizon int            // days from the start on

	// Others makes later years members too, for scoring a past season with
	// nothing but itself left out. Without it no day of the running year or
	// later is ever looked at, as nobody knew it then.
	Others bool
}

// The limits of what a past year may lack: our assumptions.
const (
	longestHole = 5  // days in a row that are bridged by a straight line
	mostMissing = 20 // days in all
	leastTrend  = 15 // years from which a trend is taken out
)

// FromMeans makes members of a site's daily means, sorted by date; a day may
// be absent. A year with longer holes than a few days is left out: Years says
// which are used. So is a year whose window would reach into the running one
// by more than that; a horizon that ends on 31 December keeps them all.
//
// The members are brought to today's climate: a straight line through their
// mean temperatures over the window, fitted by least squares to the years used
// and to no other, is added on from each member's year to the running one.
// With fewer than 15 years nothing is added.
func FromMeans(means []Mean, a Alignment) Members {
	m := Members{From: a.Start.In(a.Year)}
	if len(means) == 0 || a.Horizon < 1 {
		return m
	}
	known := a.known(means)
	for y := means[0].Date.Year(); y <= means[len(means)-1].Date.Year(); y++ {
		if t, ok := yearOf(known, a.Start.In(y), a.Horizon); ok {
			m.Years, m.TempC = append(m.Years, y), append(m.TempC, t)
		}
	}
	m.detrend(a.Year)
	return m
}

// known gives the means that may be looked at, by their date.
func (a Alignment) known(means []Mean) map[civil.Date]float64 {
	hidden := a.hidden()
	known := make(map[civil.Date]float64, len(means))
	for _, d := range means {
		if !math.IsNaN(d.MeanC) && !hidden.Has(d.Date) {
			known[d.Date] = d.MeanC
		}
	}
	return known
}

// hidden is the running year and what of its window lies beyond it; without
// Others it never ends. A year whose window is hidden whole is no member.
func (a Alignment) hidden() civil.Range {
	first, last := civil.Of(a.Year, time.January, 1), civil.Of(a.Year, time.December, 31)
	if !a.Others {
		return civil.Range{First: first, Last: math.MaxInt32}
	}
	return civil.Range{First: first, Last: max(last, a.Start.In(a.Year)+civil.Date(a.Horizon)-1)}
}

// yearOf gives the temperatures of the window that begins on a day, with short
// holes bridged; ok is false where too much is missing.
func yearOf(known map[civil.Date]float64, from civil.Date, horizon int) (tempC []float64, ok bool) {
	tempC = make([]float64, horizon)
	missing := 0
	for i := range tempC {
		c, there := known[from+civil.Date(i)]
		if !there {
			c = math.NaN()
			missing++
		}
		tempC[i] = c
	}
	return tempC, missing <= mostMissing && bridge(tempC)
}

// bridge fills short holes by straight lines, and those at an end by the value
// beside them; ok is false where a hole is too long.
func bridge(t []float64) (ok bool) {
	for i := 0; i < len(t); {
		if !math.IsNaN(t[i]) {
			i++
			continue
		}
		end := i
		for end < len(t) && math.IsNaN(t[end]) {
			end++
		}
		if end-i > longestHole || end-i == len(t) {
			return false
		}
		for k := i; k < end; k++ {
			t[k] = between(t, i-1, end, k)
		}
		i = end
	}
	return true
}

func between(t []float64, left, right, k int) float64 {
	switch {
	case left < 0:
		return t[right]
	case right == len(t):
		return t[left]
	}
	w := float64(k-left) / float64(right-left)
	return t[left]*(1-w) + t[right]*w
}

// detrend adds to each member what a straight line through the members' means
// has risen between its year and the running one.
func (m *Members) detrend(year int) {
	if len(m.Years) < leastTrend {
		return
	}
	x, y := make([]float64, len(m.Years)), make([]float64, len(m.Years))
	for i, t := range m.TempC {
		x[i], y[i] = float64(m.Years[i]), stat.Mean(t, nil)
	}
	_, slope := stat.LinearRegression(x, y, nil, false)
	for i, t := range m.TempC {
		for k := range t {
			t[k] += slope * float64(year-m.Years[i])
		}
	}
}
