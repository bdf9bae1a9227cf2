package hindcast

import (
	"fmt"
	"math"

	"budcall/internal/civil"
)

// obstacle says why a unit can't be forecast in the season, if it can't.
func (s *season) obstacle(o sight) string {
	switch {
	case !s.calendar.usable(o.unit):
		return fmt.Sprintf("it has %.0f other years, and a mean date needs %d", s.calendar.n[o.unit], fewestYears)
	case s.h.thermometers[o.file].years[s.year] == nil:
		return fmt.Sprintf("%q has no temperatures of that year", o.file)
	case len(s.membersOf(o.file).TempC) == 0:
		return fmt.Sprintf("no other year of %q is complete enough to stand for the weather to come", o.file)
	case len(s.heats) == 0:
		return "no heat could be learned"
	}
	return ""
}

// manyMissing is how many days without a reading before the mean dates are
// worth a word.
const manyMissing = 10

// gaps tells when the season's own readings have large holes, file by file.
func (s *season) gaps() (told []remark) {
	until := map[string]int{}
	for _, o := range s.h.panel.sights {
		if o.year == s.year && s.calendar.usable(o.unit) {
			until[o.file] = max(until[o.file], min(daysOfYear, int(s.calendar.mean[o.unit])))
		}
	}
	first := civil.Of(s.year, 1, 1)
	for _, file := range sortedKeys(until) {
		t := s.h.thermometers[file].years[s.year]
		if t == nil {
			continue
		}
		missing, longest, run, end := 0, 0, 0, 0
		for i, c := range t[:until[file]] {
			if run++; !math.IsNaN(c) {
				run = 0
				continue
			}
			if missing++; run > longest {
				longest, end = run, i
			}
		}
		if missing >= manyMissing {
			hole := civil.Range{First: first + civil.Date(end-longest+1), Last: first + civil.Date(end)}
			told = append(told, remark{year: s.year, text: fmt.Sprintf("%q has no reading on %d days up to %s, %d of them in a row (%s): each member's own stand for them",
				file, missing, first+civil.Date(until[file]), longest, hole)})
		}
	}
	return told
}

// holes tells of dates that can't be learned from because the temperatures
// before them are missing.
func (h *hindcast) holes() {
	var told []remark
	for i, o := range h.panel.sights {
		t := h.thermometers[o.file]
		if math.IsNaN(h.families[0].felt[0].need[i]) && t.years[o.year] != nil {
			told = append(told, remark{o.year, h.panel.units[o.unit], fmt.Sprintf("not learned from: %q has a hole of more than %d days before that date", o.file, longestHole)})
		}
	}
	h.panel.notes = append(h.panel.notes, gathered(told)...)
}
