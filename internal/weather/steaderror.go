package weather

import "math"

// What is assumed of an error before much is seen of it: our assumption, of the
// size that the stations of Hubbard Brook show.
const (
	steadErrorK     = 1.57 // of a day
	steadWeekShare  = 0.53 // variance of the mean of 7 days over that of one
	steadMonthShare = 0.37 // of 30
	steadErrorDays  = 30.0 // as which the assumption of a day's error counts,
	steadErrorMeans = 6.0  // of a mean's,
	steadErrorMonth = 60.0 // and that every month errs alike
	steadFullShare  = 0.8  // of its days that a mean needs
	steadDriftK     = 0.35 // of the offset from the years it was fitted on to the next
)

// state states the error, from the variance of differences of single days and
// of means over 7 and 30 of them: with v₁, v₇, v₃₀ these are three equations in
// the squares of the three parts of a Doubt. What isn't known of the offset
// and its drift
// belong to the level.
func (s *Stead) state(both []sideBySide, offsetVar float64) {
	left := make([]sideBySide, len(both))
	var sum float64
	var month, in [12]float64
	_, spread := s.leftOver(both, left)
	for _, b := range left {
		e := b.apartK[steadMean]
		if math.Abs(e) > steadClipSDs*spread {
			continue
		}
		m := b.day.Month() - 1
		sum, month[m], in[m] = sum+e*e, month[m]+e*e, in[m]+1
	}
	n := in[0]
	for _, k := range in[1:] {
		n += k
	}
	v1 := (steadErrorDays*sq(steadErrorK) + sum) / (steadErrorDays + n)
	v7 := meansVar(left, 7, steadClipSDs*spread, steadWeekShare*v1)
	v30 := meansVar(left, 30, steadClipSDs*spread, steadMonthShare*v1)
	s.doubt = partsOf(v1, v7, v30)
	s.doubt.LevelK = math.Sqrt(sq(s.doubt.LevelK) + offsetVar + sq(steadDriftK))
	for m := range month {
		prev, next := (m+11)%12, (m+1)%12
		sum, n := month[prev]+month[m]+month[next], in[prev]+in[m]+in[next]
		s.bySeason[m] = math.Sqrt((steadErrorMonth*v1 + sum) / (steadErrorMonth + n) / v1)
	}
}

// leftOver gives what the offset leaves of the differences of means, and their
// middle and spread.
func (s *Stead) leftOver(both, left []sideBySide) (median, spread float64) {
	all := make([]float64, len(both))
	for i, b := range both {
		b.apartK[steadMean] -= s.OffsetK(b.day)
		left[i], all[i] = b, b.apartK[steadMean]
	}
	return middleOf(all)
}

// meansVar is the variance of the means over successive spans of so many days,
// drawn to what is assumed of it.
func meansVar(left []sideBySide, days int, clipK, assumed float64) float64 {
	sum, n := steadErrorMeans*assumed, steadErrorMeans
	for i := 0; i < len(left); {
		from := left[i].day
		mean, k := 0.0, 0.0
		for ; i < len(left) && int(left[i].day-from) < days; i++ {
			if e := left[i].apartK[steadMean]; math.Abs(e) <= clipK {
				mean, k = mean+e, k+1
			}
		}
		if k >= steadFullShare*float64(days) {
			mean /= k
			sum, n = sum+mean*mean, n+1
		}
	}
	return sum / n
}

// partsOf solves v(n) = level + spell·spellShare(n) + day/n for n of 1, 7 and
// 30; no part is below 0, and together they are the error of a day.
func partsOf(v1, v7, v30 float64) Doubt {
	s7, s30 := spellShare(7), spellShare(30)
	// v1 − v7 = spell·(1 − s7) + day·6/7 and v7 − v30 = spell·(s7 − s30) + day·(1/7 − 1/30)
	a, b, c, d := 1-s7, 6.0/7, s7-s30, 1.0/7-1.0/30
	p, q := max(0, v1-v7), max(0, v7-v30)
	spell := max(0, (p*d-q*b)/(a*d-b*c))
	day := max(0, (p-a*spell)/b)
	spell, day = min(spell, v1), min(day, v1-min(spell, v1))
	return Doubt{DayK: math.Sqrt(day), SpellK: math.Sqrt(spell), LevelK: math.Sqrt(max(0, v1-day-spell))}
}
