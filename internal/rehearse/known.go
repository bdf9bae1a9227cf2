package rehearse

import "math"

// known is what a keeper of a heat sum knows of it on each morning: what the
// thermometer gave up to the day before, and what the forecast adds.
type known struct {
	season *Season
	start  int       // first day that counts, from 0
	sum    []float64 // °C·d known on the morning of each day
	soon   []float64 // °C·d that the forecast of the morning expects by the end of each of its days, LeadDays a morning
}

// fading is by how much, a day, the last reading's departure from the climate
// is thought to fade while readings are missing; our assumption.
const fading = 0.8

// newKnown sums a stage's heat, base and start of the profile. A gap that has
// closed is bridged by a straight line; while it is open, each missing day is
// thought to be the climate's day with the last departure fading.
func newKnown(s *Season, st Stage, climate []float64) *known {
	k := &known{season: s, start: st.Start.In(s.Year).YearDay() - 1}
	heat := func(day int, t float64) float64 {
		if day < k.start {
			return 0
		}
		return max(0, t-st.BaseC)
	}
	n := len(s.observed)
	k.sum = make([]float64, n)
	settled, last := 0.0, -1 // °C·d up to the last day read, and that day
	for today := 1; today < n; today++ {
		day := today - 1
		if t := s.observed[day]; !math.IsNaN(t) {
			for gap := last + 1; gap < day; gap++ {
				settled += heat(gap, between(s.observed, last, day, gap))
			}
			settled += heat(day, t)
			last = day
		}
		k.sum[today] = settled
		for gap := last + 1; gap <= day; gap++ {
			k.sum[today] += heat(gap, thought(s.observed, climate, last, gap))
		}
	}
	k.soon = make([]float64, n*LeadDays)
	for today := range n {
		sum := k.sum[today]
		for lead := range LeadDays {
			if lead < len(s.issued[today]) {
				sum += heat(today+lead, s.issued[today][lead])
			}
			k.soon[today*LeadDays+lead] = sum
		}
	}
	return k
}

// between bridges a closed gap.
func between(temps []float64, last, next, day int) float64 {
	if last < 0 {
		return temps[next]
	}
	return temps[last] + (temps[next]-temps[last])*float64(day-last)/float64(next-last)
}

// thought gives a missing day of an open gap.
func thought(temps, climate []float64, last, day int) float64 {
	switch {
	case last < 0:
		return climate[day] // NaN counts as no heat
	case math.IsNaN(climate[day]) || math.IsNaN(climate[last]):
		return temps[last]
	}
	return climate[day] + (temps[last]-climate[last])*math.Pow(fading, float64(day-last))
}
