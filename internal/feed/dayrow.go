package feed

import (
	"math"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// dayRow is one line that is a day.
type dayRow struct {
	line    int
	text    string
	date    civil.Date
	values  [elementCount]float64 // in °C
	has     [elementCount]bool    // whether the file has the element at all
	missing int                   // values that the file calls missing
}

// into gives the row to the collector, with the provider's rank of it.
func (r *dayRow) into(c *collector, rank int) {
	for e := range r.values {
		if !r.has[e] {
			r.values[e] = math.NaN()
		}
	}
	before := len(c.days)
	c.ranked(r.line, r.text, weather.Day{Date: r.date, MinC: r.values[elementMin], MaxC: r.values[elementMax], MeanC: r.values[elementMean]}, rank)
	if len(c.days) > before {
		c.missing += r.missing
	}
}
