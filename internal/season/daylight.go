package season

import (
	"math"
	"time"

	"budcall/internal/civil"
)

// AnswerTime is the time allowed for an answer: the smaller of the setting
// and a third of the daylight left until the end of the last day, and never
// less than half an hour; in whole minutes, so that it survives storing.
func AnswerTime(s Site, last civil.Date, now time.Time) time.Duration {
	third := Daylight(s, now, last) / 3
	return max(min(s.Settings.AnswerTime, third), 30*time.Minute).Truncate(time.Minute)
}

// Daylight is the daylight at a site between now and the end of the day last,
// the sun's disc taken as a point and the horizon as flat. Past the last day
// it is what is left of today.
//
// Half the day's arc is acos(-tan φ tan δ), with the declination δ = 23.44° ·
// sin(360°·(284+n)/365) of day n of the year (Cooper 1969, Solar Energy 12;
// from memory), and noon is at 12:00 UTC less four minutes per degree east.
func Daylight(s Site, now time.Time, last civil.Date) time.Duration {
	today := civil.At(now.UTC().Add(time.Duration(s.LonDeg * 4 * float64(time.Minute))))
	var sum time.Duration
	for d := today; d <= max(last, today); d++ {
		half := time.Duration(halfArcHours(s.LatDeg, d) * float64(time.Hour))
		noon := d.In(time.UTC, 12, 0).Add(-time.Duration(s.LonDeg * 4 * float64(time.Minute)))
		rise, set := noon.Add(-half), noon.Add(half)
		if now.After(rise) {
			rise = now
		}
		if set.After(rise) {
			sum += set.Sub(rise)
		}
	}
	return sum
}

func halfArcHours(latDeg float64, d civil.Date) float64 {
	rad := math.Pi / 180
	decl := 23.44 * rad * math.Sin(2*math.Pi*float64(284+d.YearDay())/365)
	cos := -math.Tan(latDeg*rad) * math.Tan(decl)
	return math.Acos(max(-1, min(1, cos))) * 12 / math.Pi
}
