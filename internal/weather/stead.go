package weather

import (
	"math"

	"budcall/internal/civil"
)

// Stead is how one station's days stand for another's: the offset by season
// and the stated error, fitted on the days that both have read.
//
// The offset is a mean and one yearly wave of the differences, of the daily
// mean and of each extreme by itself. It is fitted by least squares about what
// altitude gives, with days left out that lie more than 4 robust standard
// deviations beside it, so that a few broken days move nothing; as differences
// hang together for weeks, 30 days tell as much of it as one.
type Stead struct {
	OverlapDays int // that it was fitted on

	byElement [steadElements]wave
	doubt     Doubt
	bySeason  [12]float64 // share of the doubt in a month, over that of the year
}

// What is compared of a day.
const (
	steadMean = iota
	steadMin
	steadMax
	steadElements
)

// What is assumed of two stations before they are seen side by side, and how
// far back that is looked for; of the size that the stations of Hubbard Brook
// show among each other.
const (
	steadDaysMost  = 6 * daysOfAYear // common days, the newest
	steadDaysLeast = 60              // below which only altitude is corrected
	steadAlike     = 30.0            // days that tell as much of an offset as one
	steadLevelK    = 0.8             // of the mean offset about the one that altitude gives
	steadWaveK     = 0.5             // of each number of its yearly wave
	steadLostK     = 5.0             // of the mean offset where an altitude isn't known
	steadClipSDs   = 4.0             // beyond which a difference is a broken day's
	steadFloorK    = 0.5             // the least robust spread: readings of whole degrees differ by that much
)

// FitStead fits how the days of one station stand for those of another (own).
// ok is false where too few days were read by both; then only the altitude can
// be corrected for.
func FitStead(own, other Series) (s Stead, ok bool) {
	both := common(own.Days, other.Days)
	if s.OverlapDays = len(both); s.OverlapDays < steadDaysLeast {
		return s, false
	}
	prior := wave{(other.AltitudeM - own.AltitudeM) / 1000 * LapseKPerKm, 0, 0}
	levelK := steadLevelK
	if math.IsNaN(prior[0]) {
		prior[0], levelK = 0, steadLostK
	}
	var offsetVar float64
	s.byElement[steadMean], offsetVar, _ = fitWave(both, steadMean, prior, levelK)
	for e := steadMin; e < steadElements; e++ {
		w, _, n := fitWave(both, e, prior, levelK)
		if n < steadDaysLeast {
			w = s.byElement[steadMean]
		}
		s.byElement[e] = w
	}
	s.state(both, offsetVar)
	return s, true
}

// Carry gives a day of the one station as it is expected at the other. The
// mean that stands there is what stands for a mean here, whichever it is made
// of. A marked day stays marked.
func (s Stead) Carry(d Day) Day {
	at := wavesOf(d.Date)
	if mean, _, ok := d.Mean(); ok {
		d.MeanC, d.MeanOf = mean, d.Method()
	}
	d.MeanC += s.byElement[steadMean].at(at)
	d.MinC += s.byElement[steadMin].at(at)
	d.MaxC += s.byElement[steadMax].at(at)
	return d
}

// OffsetK gives by how many K the daily mean is warmer at the other station on
// a day of the year.
func (s Stead) OffsetK(day civil.Date) float64 { return s.byElement[steadMean].at(wavesOf(day)) }

// Doubt gives the stated error of the daily mean of a day that is carried.
func (s Stead) Doubt(day civil.Date) Doubt {
	by, d := s.bySeason[day.Month()-1], s.doubt
	return Doubt{DayK: d.DayK * by, SpellK: d.SpellK * by, LevelK: d.LevelK * by}
}

// AltitudeDoubt is the stated error of days that are carried by the altitude
// alone, where one of them errs by so much (see ErrorSDC): what isn't known of
// the offset is the same on all days. The shares are those between the
// stations of Hubbard Brook.
func AltitudeDoubt(errSDC float64) Doubt {
	return Doubt{DayK: 0.58 * errSDC, SpellK: 0.46 * errSDC, LevelK: 0.67 * errSDC}
}

// sideBySide is a day that both stations have read: by how many K the one is
// warmer than the other.
type sideBySide struct {
	day    civil.Date
	apartK [steadElements]float64 // NaN where one has none
}

// common gives the newest days on which both have a mean, the oldest first.
func common(own, other []Day) []sideBySide {
	var both []sideBySide
	i, k := len(own)-1, len(other)-1
	for i >= 0 && k >= 0 && len(both) < steadDaysMost {
		switch a, b := own[i], other[k]; {
		case a.Date > b.Date:
			i--
		case a.Date < b.Date:
			k--
		default:
			i, k = i-1, k-1
			x, _, ok := a.Mean()
			y, _, there := b.Mean()
			if ok && there {
				both = append(both, sideBySide{a.Date, [...]float64{x - y, a.MinC - b.MinC, a.MaxC - b.MaxC}})
			}
		}
	}
	for i, k := 0, len(both)-1; i < k; i, k = i+1, k-1 {
		both[i], both[k] = both[k], both[i]
	}
	return both
}
