package feed_test

import (
	"testing"
	"time"

	"budcall/internal/feed"
)

func TestWindowsAsPeopleWriteThem(t *testing.T) {
	for text, want := range map[string]feed.Window{
		"00-24 UTC":             {EndHour: 24, Zone: "UTC", Label: feed.LabelStart},
		"18-18 UTC":             {StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd},
		"19-18 UTC end":         {StartHour: 19, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd},
		"07-07 UTC+01:00 start": {StartHour: 7, EndHour: 7, Zone: "UTC+01:00", Label: feed.LabelStart},
		"00-24 Europe/Helsinki": {EndHour: 24, Zone: "Europe/Helsinki", Label: feed.LabelStart},
	} {
		if w, err := feed.ParseWindow(text); err != nil || w != want {
			t.Errorf("%q: %+v, %v", text, w, err)
		}
	}
	for _, text := range []string{"", "0-24 UTC", "24-24 UTC", "00-25 UTC", "18-18", "18-18 UTC middle", "18:00-18:00 UTC"} {
		if w, err := feed.ParseWindow(text); err == nil {
			t.Errorf("%q: %+v", text, w)
		}
	}
	w := feed.Window{StartHour: 21, StartMinute: 30, EndHour: 21, EndMinute: 30, Zone: "UTC+01:00", Label: feed.LabelEnd}
	if w.String() != "21:30–21:30 UTC+01:00, dated by its end" {
		t.Error(w)
	}
}

func TestFixedOffsets(t *testing.T) {
	for text, seconds := range map[string]int{"UTC": 0, "GMT": 0, "UTC+02:00": 7200, "GMT-5": -18000, "UTC+0530": 19800, "GMT+00:00": 0} {
		zone, ok := feed.FixedOffset(text)
		if !ok {
			t.Errorf("%q isn't understood", text)
			continue
		}
		if _, got := time.Unix(0, 0).In(zone).Zone(); got != seconds {
			t.Errorf("%q is %d", text, got)
		}
	}
	for _, text := range []string{"", "Europe/Helsinki", "UTC+15", "UTC+02:60", "EET", "+02:00"} {
		if _, ok := feed.FixedOffset(text); ok {
			t.Errorf("%q is no fixed offset", text)
		}
	}
}
