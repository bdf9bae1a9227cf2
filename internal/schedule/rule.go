// Package schedule is the slots at which work falls due: cron rules in a zone,
// each slot once, through clock changes and pauses.
package schedule

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/robfig/cron/v3"
)

// Rule is a cron rule of five fields, in the wall-clock time of a zone. Make
// one with Parse; the zero Rule never falls due.
//
// A slot that a clock change skips falls due at the first moment after the
// gap; several of one rule that it skips fall due as one, the earliest. A slot
// that a clock change repeats falls due once, the first time.
type Rule struct {
	spec string
	wall *cron.SpecSchedule // reckons in UTC, as if the wall clock never changed
	loc  *time.Location
}

const example = "write five fields, minute hour day-of-month month day-of-week: \"10 6 * * *\" is 06:10 every day"

// Parse reads a rule of five fields: minute, hour, day of month, month, day of
// week (Sunday is 0, or names: sun, jan). A day of the month together with a
// day of the week means either, as in crontab(5). Seconds, intervals and names
// ("@every", "@daily") and zones in the rule are refused: slots are wall-clock
// times of the zone that stands beside them.
func Parse(spec string, loc *time.Location) (r Rule, err error) {
	fields := strings.Fields(spec)
	spec = strings.Join(fields, " ")
	switch {
	case loc == nil:
		return Rule{}, fmt.Errorf("the rule %q has no zone: name one such as Europe/Helsinki", spec)
	case strings.Contains(spec, "TZ="):
		return Rule{}, fmt.Errorf("%q names a zone in the rule: leave it out, the zone of the programme counts", spec)
	case strings.HasPrefix(spec, "@"):
		return Rule{}, fmt.Errorf("%q is an interval or a name: %s", spec, example)
	case len(fields) == 6:
		return Rule{}, fmt.Errorf("%q has six fields, and there are no seconds here: %s", spec, example)
	case len(fields) != 5:
		return Rule{}, fmt.Errorf("%q has %d fields: %s", spec, len(fields), example)
	}
	wall, err := read(spec)
	if err != nil {
		return Rule{}, fmt.Errorf("%q can't be read as a rule: %w (minute 0-59, hour 0-23, day 1-31, month 1-12, day of week 0-6 from Sunday; %s)", spec, err, example)
	}
	return Rule{spec: spec, wall: wall, loc: loc}, nil
}

// read has the library parse the five fields; it panics on some malformed
// ones.
func read(spec string) (wall *cron.SpecSchedule, err error) {
	defer func() {
		if p := recover(); p != nil {
			wall, err = nil, fmt.Errorf("it is malformed: %v", p)
		}
	}()
	s, err := cron.ParseStandard(spec)
	if err != nil {
		return nil, err
	}
	wall, ok := s.(*cron.SpecSchedule)
	if !ok {
		return nil, errors.New("it is no times of day")
	}
	wall.Location = time.UTC // it would otherwise take the machine's zone
	return wall, nil
}

// String gives the rule with single spaces.
func (r Rule) String() string { return r.spec }

// Next gives the moment of the first slot after the given one; zero if there
// never is one.
func (r Rule) Next(after time.Time) time.Time { return r.walk(after).next().At }

// nightHours are the hours 00 to 03 as the library marks them, one bit each.
const nightHours = 1<<0 | 1<<1 | 1<<2 | 1<<3

// Warnings says what is unwise about a rule, each as "what: what to do": times
// that a clock change of its zone may skip or repeat.
func (r Rule) Warnings() []string {
	if r.wall == nil || r.wall.Hour&nightHours == 0 || !changes(r.loc) {
		return nil
	}
	return []string{fmt.Sprintf("%q falls between 00:00 and 03:59 in %s, where clock changes skip or repeat times: choose a later hour", r.spec, r.loc)}
}

// changes reports whether a zone changes its clock in these years. Past
// changes don't count: most zones had some.
func changes(loc *time.Location) bool {
	from := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	to := time.Date(2037, 1, 1, 0, 0, 0, 0, time.UTC)
	_, end := from.In(loc).ZoneBounds()
	return !end.IsZero() && end.Before(to)
}
