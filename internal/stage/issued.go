package stage

import (
	"budcall/internal/civil"
	"budcall/internal/ensemble"
)

// Issued is a stage's forecast as it was issued on a day.
type Issued struct {
	Code BBCH
	On   civil.Date
	Days ensemble.Days
}

// Record is what was issued for a site in a season. A forecast that doesn't
// differ from the one before isn't kept again: the day's mark says that it was
// issued.
type Record struct {
	Issued []Issued            // oldest first
	Marked map[civil.Date]bool // days on which every stage was forecast
}

// On gives a stage's forecast as it was issued on a day; false where none was
// issued that day, be it that the program was down or had no data.
func (r Record) On(code BBCH, day civil.Date) (Issued, bool) {
	var last Issued
	found := false
	for _, i := range r.Issued {
		if i.Code == code && i.On <= day && (!found || i.On >= last.On) {
			last, found = i, true
		}
	}
	return last, found && (last.On == day || r.Marked[day])
}
