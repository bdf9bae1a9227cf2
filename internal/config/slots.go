package config

import (
	"fmt"
	"strings"
	"time"

	"budcall/internal/schedule"
)

// The times of day where nothing else is said.
var (
	defaultPull    = []string{"10 6 * * *", "10 15 * * *"}
	defaultEvening = "0 17 * * *"
	defaultWeek    = "0 7 * * 1"
)

func (r *reading) readSlots(s *section) {
	pull := s.get("pull")
	for _, e := range pull.list() {
		if slot, ok := r.slot(e, e.text()); ok {
			r.programme.Pull = append(r.programme.Pull, slot)
		}
	}
	if pull.set() && len(pull.node.Content) == 0 {
		pull.problem("names no time, so that no weather would be fetched", "remove the line for the usual ones")
	}
	if !pull.set() {
		for _, spec := range defaultPull {
			if slot, ok := r.slot(pull, spec); ok {
				r.programme.Pull = append(r.programme.Pull, slot)
			}
		}
	}
	evening := s.get("evening")
	r.programme.Evening, _ = r.slot(evening, orElse(evening.text(), defaultEvening))
	r.readWeek(s)
	s.done()
}

// slot reads a time of day; e is where it stands. False where it isn't one.
func (r *reading) slot(e entry, spec string) (Slot, bool) {
	if spec == "" || r.programme.Zone == nil {
		return Slot{}, false // reported where they stand
	}
	if len(strings.Fields(spec)) != 5 {
		e.problem(fmt.Sprintf("%q is no time of day", clip(spec)), "five fields: minute, hour, day of month, month, day of week: \"10 6 * * *\" is 06:10 every day")
		return Slot{}, false
	}
	rule, err := schedule.Parse(spec, r.programme.Zone)
	if err != nil {
		e.problem(fmt.Sprintf("%q is no time of day", clip(spec)), "minute 0-59, hour 0-23, day 1-31, month 1-12, day of week 0-6 from Sunday: \"10 6 * * *\" is 06:10 every day")
		return Slot{}, false
	}
	if rule.Next(anyDay).IsZero() {
		e.problem(fmt.Sprintf("%q never falls due", clip(spec)), "name a day of the month that there is")
		return Slot{}, false
	}
	for _, w := range rule.Warnings() {
		what, cure, _ := strings.Cut(w, ": ")
		e.warn(what, cure)
	}
	return Slot{Spec: spec, Rule: rule}, true
}

// anyDay is a day from which rules are tried out; every one that falls due at
// all does so within some years of it.
var anyDay = time.Date(2031, time.January, 1, 0, 0, 0, 0, time.UTC)
