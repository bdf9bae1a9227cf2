package feed

import (
	"fmt"
	"regexp"
	"strconv"
	"time"

	"budcall/internal/civil"
)

// Window is what "a day" means in a series: the hours it covers and the date
// it is booked on. Two series with different windows must not be mixed in one
// season without saying so; windows compare with ==. The zero Window is one
// that nobody has stated.
//
// A window that ends an hour of the clock before it starts, as 19–18, counts
// hours by the stamp at their end: it is the 24 hours after 18:00 up to and
// with 18:00.
type Window struct {
	StartHour, EndHour     int    // 0 and 24 for the natural day, 18 and 18 for evening to evening
	Zone                   string // such as "UTC", "UTC+02:00" (local standard time) or "Europe/Helsinki"
	Label                  Label  // the date that the day carries
	StartMinute, EndMinute int    // past the hours
}

// Label tells which end of its window a day is named for.
type Label string

// The two ends of a window.
const (
	LabelStart Label = "start"
	LabelEnd   Label = "end"
)

// naturalDay is midnight to midnight of a zone.
func naturalDay(zone string) Window {
	return Window{StartHour: 0, EndHour: 24, Zone: zone, Label: LabelStart}
}

// eveningUTC is the day of the Nordic extremes, 18–18 UTC, dated by its end.
var eveningUTC = Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: LabelEnd}

// contradicts is the refusal of a declared window that isn't the one which
// the provider states for all its days; nil where nothing else is declared.
func (w Window) contradicts(declared Window) error {
	if !declared.Stated() || declared == w {
		return nil
	}
	return refuse("remove the window", "the declared window (%s) isn't that of this format, whose days are %s", declared, w)
}

// Stated reports whether the window is known.
func (w Window) Stated() bool { return w != Window{} }

// String gives the window as people write it.
func (w Window) String() string {
	switch {
	case !w.Stated():
		return "not stated"
	case w.StartMinute != 0 || w.EndMinute != 0:
		return fmt.Sprintf("%02d:%02d–%02d:%02d %s, dated by its %s", w.StartHour, w.StartMinute, w.EndHour, w.EndMinute, w.Zone, w.Label)
	}
	return fmt.Sprintf("%02d–%02d %s, dated by its %s", w.StartHour, w.EndHour, w.Zone, w.Label)
}

var windowForm = regexp.MustCompile(`^([0-9]{2})-([0-9]{2}) (\S+?)(?: (start|end))?$`)

// ParseWindow reads a window as settings and options write it: "00-24 UTC",
// "18-18 UTC end", "06-06 UTC+01:00 start". Left out, a day from midnight
// carries the date on which it starts, any other the one on which it ends.
func ParseWindow(text string) (Window, error) {
	m := windowForm.FindStringSubmatch(text)
	if m == nil {
		return Window{}, refuse(`write first and last hour, a zone, and which end dates it: "00-24 UTC", "18-18 UTC end", "07-07 UTC+01:00 start"`, "window %q is none", text)
	}
	w := Window{Zone: m[3], Label: Label(m[4])}
	w.StartHour, _ = strconv.Atoi(m[1]) // two digits, by the form
	w.EndHour, _ = strconv.Atoi(m[2])
	if w.StartHour > 23 || w.EndHour > 24 {
		return Window{}, refuse("write hours from 00 to 24", "window %q has an hour that is none", text)
	}
	switch {
	case w.Label == "" && w.StartHour == 0:
		w.Label = LabelStart
	case w.Label == "":
		w.Label = LabelEnd
	}
	return w, nil
}

// bounds gives the moments between which the day of that date lies.
func (w Window) bounds(date civil.Date, zone *time.Location) (start, end time.Time) {
	startHour := w.StartHour
	if w.byStamp() {
		startHour--
	}
	over := startHour*60+w.StartMinute >= w.EndHour*60+w.EndMinute // it reaches into the next date
	first := date
	if over && w.Label == LabelEnd {
		first--
	}
	last := first
	if over {
		last++
	}
	return first.In(zone, startHour, w.StartMinute), last.In(zone, w.EndHour, w.EndMinute)
}

// byStamp reports whether the window counts hours by the stamp at their end.
func (w Window) byStamp() bool {
	return w.StartHour == w.EndHour+1 && w.StartMinute == w.EndMinute
}

// dateOf gives the date of the day in which a moment lies; false where the
// window leaves hours out and the moment is one of them.
func (w Window) dateOf(at time.Time, zone *time.Location) (civil.Date, bool) {
	near := civil.At(at.In(zone))
	for date := near - 1; date <= near+1; date++ {
		if start, end := w.bounds(date, zone); w.holds(at, start, end) {
			return date, true
		}
	}
	return 0, false
}

// holds reports whether a moment lies in the day between two bounds: the first
// of them does, the last doesn't, or the other way round where hours are
// counted by the stamp at their end.
func (w Window) holds(at, start, end time.Time) bool {
	if w.byStamp() {
		return at.After(start) && !at.After(end)
	}
	return !at.Before(start) && at.Before(end)
}

// location finds the zone of a window: a fixed offset by its own words, a
// named one from the options, for this package loads no zones.
func (w Window) location(named *time.Location) (*time.Location, error) {
	if zone, ok := FixedOffset(w.Zone); ok {
		return zone, nil
	}
	if named != nil && named.String() == w.Zone {
		return named, nil
	}
	return nil, refuse("write UTC or a fixed offset such as UTC+02:00, or set the zone too", "the window's zone %q isn't known here", w.Zone)
}

var offsetForm = regexp.MustCompile(`^(?:UTC|GMT)(?:([+-])([0-9]{1,2})(?::?([0-9]{2}))?)?$`)

// FixedOffset reads "UTC", "UTC+02:00", "GMT-5"; false for any other zone.
func FixedOffset(text string) (*time.Location, bool) {
	m := offsetForm.FindStringSubmatch(text)
	if m == nil {
		return nil, false
	}
	hours, _ := strconv.Atoi(m[2]) // digits or nothing, by the form
	minutes, _ := strconv.Atoi(m[3])
	seconds := hours*3600 + minutes*60
	if hours > 14 || minutes > 59 {
		return nil, false
	}
	if seconds == 0 {
		return time.UTC, true
	}
	if m[1] == "-" {
		seconds = -seconds
	}
	return time.FixedZone(offsetName(seconds), seconds), true
}

// offsetName writes an offset as UTC+02:00.
func offsetName(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	return fmt.Sprintf("UTC%c%02d:%02d", sign, seconds/3600, seconds/60%60)
}
