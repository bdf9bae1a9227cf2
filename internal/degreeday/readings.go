package degreeday

// fewestReadings a day is told from: with fewer, night and day can't be told
// apart. Our assumption; four are the main hours of the weather services.
const fewestReadings = 4

// Readings gives the heat of a day from its readings in °C at equal distances
// in time, in °C·d: the mean over the readings of what each is above the base,
// with the cutoff applied to each. It is what every method that has only the
// extremes tries to come near, so the rule's method plays no part in it.
//
// ok is false, and the heat 0, with fewer than four readings or one that is
// missing (NaN) or no temperature: equal distances have no gaps. That the
// readings span one whole day, no hour twice, is for the caller to see to; so
// is the day's window, the same as that of the daily values beside it.
func (r Rule) Readings(tempsC []float64) (heatCd float64, ok bool) {
	if len(tempsC) < fewestReadings {
		return 0, false
	}
	var sum float64
	for _, c := range tempsC {
		if !temperature(c) {
			return 0, false
		}
		sum += r.rate(c)
	}
	return max(0, sum/float64(len(tempsC))), true
}

// rate is how fast heat gathers at a temperature, in °C·d a day. With the
// intermediate cutoff it falls again above the upper threshold and becomes
// negative far above it, as in the closed form.
func (r Rule) rate(c float64) float64 {
	above := max(0, c-r.BaseC)
	if !(c > r.UpperC) {
		return above
	}
	switch r.Cutoff {
	case Intermediate:
		return above - 2*(c-r.UpperC)
	case Vertical:
		return 0
	}
	return r.UpperC - r.BaseC
}
