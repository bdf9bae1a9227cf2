package link

import "time"

// OpensCalendar is the claim of a link to a person's calendar.
const OpensCalendar = "calendar"

// Calendar gives the claim with which a calendar program reads the calls of a
// person.
func Calendar(person string, expires time.Time) Claim {
	return Claim{Opens: OpensCalendar, Person: person, Expires: expires}
}
