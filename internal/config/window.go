package config

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

var windowForm = regexp.MustCompile(`^([0-9]{2})-([0-9]{2}) (\S+?)(?: (start|end))?$`)

// window reads what a day is at a station: from which hour to which, on whose
// clock, and which end dates it. Left out, a day from midnight carries the
// date on which it starts, any other the one on which it ends. The zone is
// that of the clock.
func (r *reading) window(e entry) (Window, *time.Location) {
	text := e.text()
	if text == "" {
		return Window{}, nil
	}
	if m := windowForm.FindStringSubmatch(text); m != nil {
		w := Window{StartHour: hour(m[1]), EndHour: hour(m[2]), Zone: m[3], Label: m[4]}
		if w.Label == "" && w.StartHour == 0 {
			w.Label = "start"
		}
		w.Label = orElse(w.Label, "end")
		if zone, ok := r.clockOf(w.Zone); ok && w.StartHour < 24 && w.EndHour <= 24 {
			return w, zone
		}
	}
	e.problem(fmt.Sprintf("%q doesn't say what a day is", clip(text)), "first and last hour, a zone, and which end dates it: 00-24 UTC, 18-18 UTC end, 00-24 Europe/Oslo, 00-24 UTC+02:00")
	return Window{}, nil
}

// clockOf gives the zone of a name, or of a fixed offset.
func (r *reading) clockOf(name string) (*time.Location, bool) {
	if zone, ok := fixedOffset(name); ok {
		return zone, true
	}
	zone, err := r.zones(name)
	return zone, err == nil && name != "Local"
}

var offsetForm = regexp.MustCompile(`^UTC(?:([+-])([0-9]{1,2}):?([0-5][0-9])?)?$`)

// fixedOffset reads an offset that doesn't follow summer time: UTC, UTC+02:00.
func fixedOffset(text string) (*time.Location, bool) {
	m := offsetForm.FindStringSubmatch(text)
	if m == nil {
		return nil, false
	}
	hours, minutes := hour(m[2]), hour(m[3])
	seconds := hours*3600 + minutes*60
	if hours > 14 {
		return nil, false
	}
	if m[1] == "-" {
		seconds = -seconds
	}
	if seconds == 0 {
		return time.UTC, true
	}
	return time.FixedZone(text, seconds), true
}

func hour(digits string) int {
	n, _ := strconv.Atoi(digits) // digits or nothing, by the form
	return n
}

// String gives the window as it is written in the file.
func (w Window) String() string {
	if w.Zone == "" {
		return "not stated"
	}
	return fmt.Sprintf("%02d-%02d %s %s", w.StartHour, w.EndHour, w.Zone, w.Label)
}
