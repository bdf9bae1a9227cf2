package app

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
)

// links signs the links in mails.
type links struct {
	key  []byte
	base func() string // public address, without a slash at the end

	turns map[string]int // how often links were withdrawn, by person
}

// linkDays is how long a link works after the last day of its call.
const linkDays = 14

// form gives the link to a call's form and the last day on which it works.
func (l links) form(person, site string, task call.Task, season int, last civil.Date) (url string, expires civil.Date) {
	expires = last + linkDays
	claim := link.Claim{
		Opens: "form", Person: person, Site: site, Task: string(task), Season: season, Turn: l.turns[person],
		Expires: (expires + 1).In(time.UTC, 12, 0), // the end of the day in every zone that we have sites in
	}
	return l.base() + "/form/" + link.Sign(l.key, claim), expires
}

// board gives a link to the season board, good until a moment.
func (l links) board(person string, until time.Time) string {
	return l.base() + "/board/" + link.Sign(l.key, link.Claim{Opens: "board", Person: person, Turn: l.turns[person], Expires: until})
}
