package config

import (
	"fmt"
	"regexp"
	"strconv"
)

var windowForm = regexp.MustCompile(`^([0-9]{2})-([0-9]{2}) (\S+?)(?: (start|end))?$`)

// window reads what a day is at a station: from which hour to which, on whose
// clock, and which end dates it. Left out, a day from midnight carries the
// date on which it starts, any other the one on which it ends.
func (r *reading) window(e entry) Window {
	text := e.text()
	if text == "" {
		return Window{}
	}
	if m := windowForm.FindStringSubmatch(text); m != nil {
		w := Window{StartHour: hour(m[1]), EndHour: hour(m[2]), Zone: m[3], Label: m[4]}
		if w.Label == "" && w.StartHour == 0 {
			w.Label = "start"
		}
		w.Label = orElse(w.Label, "end")
		if _, err := r.zones(w.Zone); err == nil && w.Zone != "Local" && w.StartHour < 24 && w.EndHour <= 24 {
			return w
		}
	}
	e.problem(fmt.Sprintf("%q doesn't say what a day is", clip(text)), "first and last hour, a zone, and which end dates it: 00-24 UTC, 18-18 UTC end, 00-24 Europe/Oslo")
	return Window{}
}

func hour(digits string) int {
	n, _ := strconv.Atoi(digits) // two digits, by the form
	return n
}

// String gives the window as it is written in the file.
func (w Window) String() string {
	if w.Zone == "" {
		return "not stated"
	}
	return fmt.Sprintf("%02d-%02d %s %s", w.StartHour, w.EndHour, w.Zone, w.Label)
}
