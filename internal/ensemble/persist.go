package ensemble

import "math"

// What of the days just observed speaks of the days to come: a spell for a week
// or so, an early or late spring for a month. Tried: 3 days alone serve best
// within a fortnight, 30 from three weeks on, both together everywhere.
const (
	spellDays     = 3
	springDays    = 30
	reachDays     = 30
	aroundDays    = 15 // to either side of the day of issue, from which slopes are taken
	courseDays    = 7  // to either side, over which the climate of a day is smoothed
	leastObserved = 0.6
)

// Climate is members prepared for Persist: the climate of each day, the
// members' departures from it, and the slopes by day of issue. What isn't asked
// for isn't prepared, so a Climate of which one day is issued costs little, and
// one that is kept from day to day hardly more than copying its members.
//
// It fills itself while it is used: a Climate serves one goroutine at a time.
type Climate struct {
	members Members
	meanC   []float64               // by day, once off is there
	off     [][]float64             // departures from it by day, then by member
	recent  [predictors][][]float64 // means of off over the days before, likewise
	slopes  map[basis][]slope
}

// The two predictors: mean departures of the last days.
const (
	spell = iota
	spring
	predictors
)

var predictorDays = [predictors]int{spellDays, springDays}

// basis is a day of issue and which of the predictors are known on it.
type basis struct {
	issued int
	known  [predictors]bool
}

// slope is what a later day's departure is per K of each predictor.
type slope [predictors]float64

// NewClimate prepares members. It keeps them: don't change them afterwards.
func NewClimate(m Members) *Climate {
	c := &Climate{members: m, slopes: map[basis][]slope{}}
	if len(m.TempC) > 0 {
		days := len(m.TempC[0])
		c.meanC, c.off = make([]float64, days), make([][]float64, days)
		for p := range c.recent {
			c.recent[p] = make([][]float64, days)
		}
	}
	return c
}

// Persist moves each member by what the days just observed say of the next
// ones: with x the mean departures of the last 3 and 30 days from their climate,
//
//	t(k) + b(k)·(x observed − x of the member)
//
// for the 30 days k from the day of issue on, where b(k) are the least-squares
// slopes of the departure of day k on x over all members and the days around.
// What x doesn't tell stays the member's own.
//
// observed are the daily means so far in °C, from the members' first day on;
// NaN, or the slice's end, before the day of issue is missing. issued counts
// days from the members' first. A mean is known where 6 in 10 of its days are;
// where only one of the two is, because the members have just begun or for want
// of readings, it serves alone. Without any the members come back as they are.
func (c *Climate) Persist(observed []float64, issued int) Members {
	if issued < spellDays || issued >= len(c.meanC) {
		return c.members
	}
	var soFar []float64
	for i := max(0, issued-springDays); i < issued; i++ {
		x := math.NaN()
		if i < len(observed) {
			x = observed[i] - c.climateC(i)
		}
		soFar = append(soFar, x)
	}
	on, x := basis{issued: issued}, slope{}
	for p, days := range predictorDays {
		if v := meanOfLast(soFar, days); issued >= days && !math.IsNaN(v) {
			x[p], on.known[p] = v, true
		}
	}
	if on.known == [predictors]bool{} {
		return c.members
	}
	return c.moved(on, x)
}

// moved gives the members with the days from the issue on moved.
func (c *Climate) moved(on basis, x slope) Members {
	slopes := c.slopesOn(on)
	out := Members{From: c.members.From, Years: c.members.Years, TempC: make([][]float64, len(c.members.TempC))}
	for i, t := range c.members.TempC {
		t = append([]float64(nil), t...)
		var by slope // K
		for p, known := range on.known {
			if known {
				by[p] = x[p] - c.before(p, on.issued)[i]
			}
		}
		for k, b := range slopes {
			t[on.issued+k] += b[spell]*by[spell] + b[spring]*by[spring]
		}
		out.TempC[i] = t
	}
	return out
}

// meanOfLast is the mean of the last days, NaN where too few are known.
func meanOfLast(a []float64, days int) float64 {
	var sum, n float64
	for _, x := range a[max(0, len(a)-days):] {
		if !math.IsNaN(x) {
			sum, n = sum+x, n+1
		}
	}
	if n < leastObserved*float64(days) {
		return math.NaN()
	}
	return sum / n
}
