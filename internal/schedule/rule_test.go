package schedule_test

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"

	"budcall/internal/schedule"
)

type fataler interface {
	Helper()
	Fatal(...any)
}

func zone(t fataler, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func rule(t fataler, spec, zoneName string) schedule.Rule {
	t.Helper()
	r, err := schedule.Parse(spec, zone(t, zoneName))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func utc(s string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		panic(err)
	}
	return t
}

func TestWhatIsNoRuleIsRefusedWithACure(t *testing.T) {
	for _, row := range []struct{ name, spec, says string }{
		{"nothing", "", "0 fields"},
		{"a zone and nothing else, on which the library panics", "TZ=UTC", "leave it out"},
		{"a zone before the fields", "CRON_TZ=UTC 10 6 * * *", "leave it out"},
		{"an interval", "@every 1h", "interval"},
		{"a name", "@daily", "five fields"},
		{"a field too few", "10 6 * *", "4 fields"},
		{"seconds", "0 10 6 * * *", "no seconds"},
		{"minute 61", "61 6 * * *", "minute 0-59"},
		{"hour 25", "10 25 * * *", "hour 0-23"},
		{"Sunday as 7", "10 6 * * 7", "0-6 from Sunday"},
		{"month 0", "10 6 * 0 *", "month 1-12"},
		{"a range backwards", "10 9-6 * * *", "hour 0-23"},
		{"a step of nothing", "*/0 6 * * *", "minute 0-59"},
		{"words", "a b c d e", "minute 0-59"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := schedule.Parse(row.spec, time.UTC)
			if err == nil || !strings.Contains(err.Error(), row.says) {
				t.Errorf("%q: got %v", row.spec, err)
			}
		})
	}
	if _, err := schedule.Parse("10 6 * * *", nil); err == nil || !strings.Contains(err.Error(), "no zone") {
		t.Errorf("without a zone: %v", err)
	}
}

func TestARuleIsShownAsWritten(t *testing.T) {
	r, err := schedule.Parse("  10   6 * * mon-fri ", time.UTC)
	if err != nil || r.String() != "10 6 * * mon-fri" {
		t.Errorf("%q, %v", r, err)
	}
}

func TestTheZeroRuleNeverFallsDue(t *testing.T) {
	var r schedule.Rule
	if due, skipped := schedule.Due(r, utc("2026-01-01 00:00"), utc("2027-01-01 00:00"), 5); len(due)+skipped != 0 || !r.Next(utc("2026-01-01 00:00")).IsZero() || r.Warnings() != nil {
		t.Errorf("due %v, skipped %d", due, skipped)
	}
}

func TestNightSlotsAreWarnedOf(t *testing.T) {
	for _, row := range []struct {
		name, spec, zone string
		warned           bool
	}{
		{"at night where the clock changes", "30 2 * * *", "Europe/Helsinki", true},
		{"midnight counts", "0 0 * * *", "America/Santiago", true},
		{"the last minute of the night counts", "59 3 * * *", "Europe/Helsinki", true},
		{"four is late enough", "0 4 * * *", "Europe/Helsinki", false},
		{"one of several hours is at night", "0 3,15 * * *", "Europe/Helsinki", true},
		{"hourly", "0 * * * *", "Europe/Helsinki", true},
		{"UTC has no clock changes", "30 2 * * *", "UTC", false},
		{"a zone that gave its clock changes up (Iceland, 1968)", "30 2 * * *", "Atlantic/Reykjavik", false},
		{"changes around Ramadan, in no fixed month", "30 2 * * *", "Africa/Casablanca", true},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := rule(t, row.spec, row.zone).Warnings()
			if (len(got) > 0) != row.warned {
				t.Fatalf("warned: %v", got)
			}
			if row.warned && (!strings.Contains(got[0], row.zone) || !strings.Contains(got[0], ": choose a later hour")) {
				t.Errorf("got %s", got[0])
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	for _, spec := range []string{"10 6 * * *", "*/5 0-3 1,15 jan-mar sun", "TZ=", "CRON_TZ=x", "@every", "? ? ? ? ?", "1-2-3 * * * *", "99999999999999999999 * * * *", "*/-1 * * * *"} {
		f.Add(spec)
	}
	loc := zone(f, "America/New_York")
	start := utc("2026-02-28 12:00")
	f.Fuzz(func(t *testing.T, spec string) {
		r, err := schedule.Parse(spec, loc)
		if err != nil {
			return
		}
		if at := r.Next(start); !at.IsZero() && !at.After(start) {
			t.Errorf("%q: %s is not after %s", spec, at, start)
		}
		again, err := schedule.Parse(r.String(), loc)
		if err != nil || again.String() != r.String() || !again.Next(start).Equal(r.Next(start)) {
			t.Errorf("%q is shown as %q, which reads otherwise: %v", spec, r, err)
		}
	})
}

func TestNextIsTheFirstDueSlot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rule(t, drawSpec(t), drawZone(t))
		last := utc("2026-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 365*24*60).Draw(t, "minutes")) * time.Minute)
		next := r.Next(last)
		due, _ := schedule.Due(r, last, next, 3)
		if len(due) != 1 || !due[0].At.Equal(next) {
			t.Fatalf("next %s, due until then %v", next, due)
		}
		if due, skipped := schedule.Due(r, last, next.Add(-time.Nanosecond), 3); len(due)+skipped != 0 {
			t.Fatalf("due before the next slot %s: %v", next, due)
		}
	})
}
