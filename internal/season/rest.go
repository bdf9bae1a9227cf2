package season

import (
	"time"

	"budcall/internal/civil"
)

// Rest tells whether a moment lies in the hours of rest of somebody who lives
// by its location, and when these began and end.
func (s Settings) Rest(at time.Time) (began, ends time.Time, resting bool) {
	from, until := s.RestFromHour, s.RestUntilHour
	if from == until {
		return at, at, false
	}
	day, hour := civil.At(at), at.Hour()
	switch {
	case from < until:
		resting = hour >= from && hour < until
		return day.In(at.Location(), from, 0), day.In(at.Location(), until, 0), resting
	case hour >= from:
		return day.In(at.Location(), from, 0), (day + 1).In(at.Location(), until, 0), true
	case hour < until:
		return (day - 1).In(at.Location(), from, 0), day.In(at.Location(), until, 0), true
	}
	return at, at, false
}

// fewestMinutes is the shortest time for an answer.
const fewestMinutes = 30 * time.Minute

// awake moves the end of the time for an answer out of the person's hours of
// rest: to their end, or where the last day would be over by then, before
// their beginning. Where neither leaves anything, it stays.
func (v view) awake(by time.Time, p Person, last civil.Date) time.Time {
	zone := p.Zone
	if zone == nil {
		zone = v.Now.Location()
	}
	began, ends, resting := v.Site.Settings.Rest(by.In(zone))
	ends = ends.In(by.Location())
	switch {
	case !resting:
		return by
	case v.Day > last, civil.At(ends.In(v.Now.Location())) <= last && Daylight(v.Site, ends, last) > 0:
		return ends
	case !began.Before(v.Now.Add(fewestMinutes)):
		return began.In(by.Location())
	}
	return by
}
