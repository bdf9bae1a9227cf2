package season

import (
	"math"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
)

// passes gives why the task must go to the next person now; empty if it stays.
func (v view) passes(next State) call.Reason {
	if !next.Standing.Asks() || len(next.Asked) == 0 || next.Level >= len(v.chain()) {
		return ""
	}
	answer, ok := v.ledger.answered[v.task]
	switch {
	case ok && answer.Kind == trail.CannotGo && answer.At.After(next.AskedAt):
		return call.CannotGo
	case v.Returned[v.task].After(next.AskedAt):
		return call.MailReturned
	case !next.AnswerBy.IsZero() && !v.Now.Before(next.AnswerBy):
		return call.AnswerOverdue
	}
	return ""
}

// passOn gives the task to the next person.
func (v view) passOn(next State, reason call.Reason) (State, []Owed) {
	next.Level++
	next.Serial++
	person := v.chain()[next.Level].Code
	next.Told = call.Told{Standing: next.Standing, Days: next.Days, On: v.Day}
	owed := Owed{Task: v.task, Standing: next.Standing, Reason: reason, Person: person, Passed: true, Serial: next.Serial}
	return v.ask(next, person), []Owed{owed}
}

// nobodyLeft says, once, that everybody in the chain was asked in vain: owed
// to nobody in particular, so that whoever runs the program hears of it. The
// last person goes on being told how the call stands.
func (v view) nobodyLeft(next State) (State, []Owed) {
	next.Level = len(v.chain())
	next.Serial++
	next.AskedAt, next.AnswerBy = v.Now, time.Time{}
	return next, []Owed{{Task: v.task, Standing: next.Standing, Reason: call.NobodyElseKnown, Passed: true, Serial: next.Serial}}
}

// AnswerTime is the time allowed for an answer: the smaller of the setting
// and a third of the daylight left until the end of the last day, and never
// less than half an hour; in whole minutes, so that it survives storing.
func AnswerTime(s Site, last civil.Date, now time.Time) time.Duration {
	third := Daylight(s, now, last) / 3
	return max(min(s.Settings.AnswerTime, third), 30*time.Minute).Round(time.Minute)
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
