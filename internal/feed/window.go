package feed

import "fmt"

// Window is what "a day" means in a series: the hours it covers and the date
// it is booked on. Two series with different windows must not be mixed in one
// season without saying so; windows compare with ==. The zero Window is one
// that nobody has stated.
type Window struct {
	StartHour, EndHour int    // 0 and 24 for the natural day, 18 and 18 for evening to evening
	Zone               string // such as "UTC" or "Europe/Helsinki"
	Label              Label  // the date that the day carries
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

// Stated reports whether the window is known.
func (w Window) Stated() bool { return w != Window{} }

// String gives the window as people write it.
func (w Window) String() string {
	if !w.Stated() {
		return "not stated"
	}
	return fmt.Sprintf("%02d–%02d %s, dated by its %s", w.StartHour, w.EndHour, w.Zone, w.Label)
}
