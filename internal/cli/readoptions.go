package cli

import (
	"errors"
	"strings"
	"time"

	"budcall/internal/feed"
)

// gap is an option that is a time within a day.
type gap struct{ of *time.Duration }

// String gives the time, or nothing where there is none yet.
func (g gap) String() string {
	if g.of == nil {
		return ""
	}
	return g.of.String()
}

// Set reads the time. A number alone might be hours or minutes.
func (g gap) Set(text string) error {
	d, err := time.ParseDuration(text)
	if err != nil || d <= 0 || d > 24*time.Hour {
		return errors.New("write a time above 0 and up to 24h with its unit, such as 3h or 90m")
	}
	*g.of = d
	return nil
}

// loadZone loads a zone by its area and city. Abbreviations are names too, and
// mean summer time or don't, which nobody can see.
func loadZone(option, name string) (*time.Location, error) {
	if name == "UTC" {
		return time.UTC, nil
	}
	zone, err := time.LoadLocation(name)
	if err != nil || !strings.Contains(name, "/") {
		return nil, misused("%s: %q is no time zone that is meant here: write UTC, a fixed offset such as UTC+02:00 (a logger's clock needs one), or a zone by its area and city, such as Europe/Helsinki (EET, CET and the like may or may not mean summer time)", option, name)
	}
	return zone, nil
}

// asOptions says in options what a refusal says in words of the settings.
var asOptions = strings.NewReplacer(
	"add unit: C or unit: F", "add --unit C or --unit F", "correct unit,", "correct --unit,", "remove unit", "leave --unit out",
	"name one as station", "name one by --station",
	"add a window: ", "add --window ", "remove the window", "leave --window out", "set a window that", "give a --window that", "or ask for the readings", "or ask for --readings",
	"or set the zone too", "or set --zone too", "set zone, for example", "give --zone, for example",
	"set location to a number", "give --location with a number", "remove location", "leave --location out",
	"add the fixed offset of the logger's clock: UTC, or UTC+02:00", "add the fixed offset of the logger's clock: --zone UTC, or --zone UTC+02:00",
	"declare columns.", "give --columns with ", "correct columns.", "correct --columns, ", "declare columns:", "give --columns:", "declare the columns by number", "give --columns by number",
	"declare date, and", "give --columns with date, and", "correct the columns or the separator", "correct --columns or --separator",
	`add decimal: "."`, "add --decimal .", "separator or date_layout", "--separator or --date-layout", "and date_layout", "and --date-layout",
	"compare the declared columns, separator, decimal and date_layout with the file", "compare --columns, --separator, --decimal and --date-layout with the file",
	"declare it in missing", "give it in --missing",
	"remove that, or read the file as delimited or logger", "leave these options out, or read the file as delimited or logger",
)

// asksOtherDays refuses a window that is asked for of a file whose days are
// other ones: days can't be made of days.
func asksOtherDays(name string, b feed.Batch, wanted feed.Window) error {
	if !wanted.Stated() || len(b.Readings) > 0 || len(b.Days) == 0 || !b.Window.Stated() || plain(b.Window) == plain(wanted) {
		return nil
	}
	return misused("%s: its days are %s, and days of other hours (%s) can't be made of them: leave --window out, or read a file of readings", name, b.Window, wanted)
}

// plain gives a window as it compares with another: in hours alone, not in
// stamps at the ends of hours, and UTC by one name.
func plain(w feed.Window) feed.Window {
	if w.StartHour == w.EndHour+1 && w.StartMinute == w.EndMinute {
		w.StartHour--
	}
	if zone, fixed := feed.FixedOffset(w.Zone); fixed {
		w.Zone = zone.String()
	}
	return w
}
