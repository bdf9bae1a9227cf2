package pull_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
)

// clockHours writes hours from one moment up to another as Frost does, of as many
// degrees as the clock has struck.
func clockHours(from, to time.Time) string {
	var items []string
	for at := from; at.Before(to); at = at.Add(time.Hour) {
		items = append(items, fmt.Sprintf(`{"sourceId":"SN1:0","referenceTime":%q,"observations":[{"elementId":"air_temperature","value":%d,"unit":"degC"},{"elementId":"wind_speed","value":5,"unit":"m/s"}]}`,
			at.Format(time.RFC3339), at.Hour()))
	}
	return `{"@type":"ObservationResponse","data":[` + strings.Join(items, ",") + `]}`
}

// A provider of hours is asked for the last days only, and days that don't
// begin at midnight are cut by where the answer begins.
func TestAnAnswerThatBeginsWithinADayTakesNothingBack(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2031, 4, d, 0, 0, 0, 0, time.UTC) }
	for _, row := range []struct {
		sentence string
		window   feed.Window
		served   any
		want     string // of the second answer
	}{
		{"a day of which too few hours are left, of a provider", feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}, true, "04-18 11.5, 04-19 11.5"},
		{"and of a file that loses its oldest lines", feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}, nil, "04-18 11.5, 04-19 11.5"},
		{"a day that lacks an hour, of a provider", feed.Window{EndHour: 24, Zone: "UTC+01:00", Label: feed.LabelStart}, true, "04-18 11.5, 04-19 11.5"},
	} {
		b := newBench()
		b.of("frost")
		b.order.Options.Window, b.order.Served = row.window, row.served
		if row.served != nil {
			b.order.Path = ""
		}
		b.says(clockHours(day(14), day(19)))
		if got := words(b.do(t).Days); !strings.Contains(got, "04-16 11.5, 04-17 11.5") {
			t.Errorf("%s: at first %s", row.sentence, got)
		}
		b.says(clockHours(day(17), day(20)))
		h := b.do(t)
		if got := words(h.Days); got != row.want {
			t.Errorf("%s: %s, want %s", row.sentence, got, row.want)
		}
		if len(h.Winds) == 0 || h.Winds[0].Date != civil.Of(2031, 4, 18) {
			t.Errorf("%s: winds %v", row.sentence, h.Winds)
		}
	}
}
