package ensemble

// climateC is the mean of all members over the days around one.
func (c *Climate) climateC(day int) float64 {
	c.departures(day)
	return c.meanC[day]
}

// departures gives each member's departure from the climate on a day.
func (c *Climate) departures(day int) []float64 {
	if c.off[day] != nil {
		return c.off[day]
	}
	var sum, n float64
	for k := max(0, day-courseDays); k <= min(len(c.off)-1, day+courseDays); k++ {
		for _, t := range c.members.TempC {
			sum, n = sum+t[k], n+1
		}
	}
	c.meanC[day] = sum / n
	off := make([]float64, len(c.members.TempC))
	for i, t := range c.members.TempC {
		off[i] = t[day] - c.meanC[day]
	}
	c.off[day] = off
	return off
}

// before gives each member's mean departure over a predictor's days before one.
func (c *Climate) before(p, day int) []float64 {
	if c.recent[p][day] != nil {
		return c.recent[p][day]
	}
	days := predictorDays[p]
	mean := make([]float64, len(c.members.TempC))
	for k := day - days; k < day; k++ {
		for i, x := range c.departures(k) {
			mean[i] += x
		}
	}
	for i := range mean {
		mean[i] /= float64(days)
	}
	c.recent[p][day] = mean
	return mean
}

// slopesOn gives the slopes of the 30 days from an issue on.
func (c *Climate) slopesOn(on basis) []slope {
	if s, ok := c.slopes[on]; ok {
		return s
	}
	s := make([]slope, min(reachDays, len(c.off)-on.issued))
	for k := range s {
		s[k] = c.slope(on, k)
	}
	c.slopes[on] = s
	return s
}

// slope of the departure k days on, on what is known, by normal equations.
func (c *Climate) slope(on basis, k int) slope {
	first := spellDays
	if on.known[spring] {
		first = springDays
	}
	nothing := make([]float64, len(c.members.TempC))
	var xx, xz, zz, xy, zy float64
	for at := max(first, on.issued-aroundDays); at <= min(len(c.off)-1-k, on.issued+aroundDays); at++ {
		x, z, y := nothing, nothing, c.departures(at+k)
		if on.known[spell] {
			x = c.before(spell, at)
		}
		if on.known[spring] {
			z = c.before(spring, at)
		}
		for i, y := range y {
			xx, xz, zz, xy, zy = xx+x[i]*x[i], xz+x[i]*z[i], zz+z[i]*z[i], xy+x[i]*y, zy+z[i]*y
		}
	}
	det := xx*zz - xz*xz
	switch {
	case !on.known[spring] && xx > 0:
		return slope{spell: xy / xx}
	case !on.known[spell] && zz > 0:
		return slope{spring: zy / zz}
	case det <= 1e-9*xx*zz:
		return slope{}
	}
	return slope{(xy*zz - zy*xz) / det, (zy*xx - xy*xz) / det}
}
