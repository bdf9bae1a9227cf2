package advance

import (
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/season"
)

// When a site counts as blind: its first station gives no usable reading, and
// others stand in or nothing does.
const (
	blindAfterDays = 2  // days in a row without a reading, at any time of the season: 48 hours
	nearDays       = 10 // days before the first day of a call from which one is enough, until its last
	dayExpectedAt  = 12 // hour of the site's day by which yesterday's reading is expected: our assumption
)

// blind tells whether the site's own station is silent. A new day's reading
// is missed only once it was to be expected, so that nobody is bothered every
// morning until it comes.
func (g *grounds) blind(t Task, calls map[call.Task]season.State) bool {
	newest := t.today() - 1
	if t.Now.In(t.Site.Zone).Hour() < dayExpectedAt {
		newest--
	}
	silent := int(newest - g.ownLast)
	return silent >= blindAfterDays || silent > 0 && near(calls, t.today())
}

// near tells whether a call's days are near or have begun.
func near(calls map[call.Task]season.State, today civil.Date) bool {
	for _, s := range calls {
		if s.Near(today, nearDays, 0) {
			return true
		}
	}
	return false
}

// standsIn gives the name of the first station, where another stands in for it
// on the last day that was read, and the first day of which it has no reading.
func (g *grounds) standsIn(t Task) (name string, since civil.Date) {
	if !g.last.Substitute {
		return "", 0
	}
	name = station(t.Programme, t.Site.Stations[0]).Name
	if g.ownLast == 0 {
		return name, 0
	}
	return name, g.ownLast + 1
}
