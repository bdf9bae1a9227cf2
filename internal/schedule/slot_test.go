package schedule_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/schedule"
)

// shown is a slot as "moment in UTC|local date nominal time".
func shown(slots []schedule.Slot) (lines []string) {
	for _, s := range slots {
		lines = append(lines, s.At.UTC().Format("2006-01-02 15:04")+"|"+s.Date.String()+" "+s.Nominal)
	}
	return lines
}

// Clock changes of 2026: EU 29 March and 25 October at 01:00 UTC; New York 8
// March and 1 November; Lord Howe 5 April and 4 October, half an hour; Santiago
// 5 April and 6 September at midnight; Samoa left out 30 December 2011 (IANA
// time zone database). Expected moments computed by hand from these.
func TestWhichSlotsAreDue(t *testing.T) {
	for _, row := range []struct {
		name, spec, zone, last, now string
		want                        []string
	}{
		{"before the first slot", "10 6 * * *", "UTC", "2026-05-01 00:00", "2026-05-01 06:09", nil},
		{"exactly on a slot", "10 6 * * *", "UTC", "2026-05-01 00:00", "2026-05-01 06:10", []string{"2026-05-01 06:10|2026-05-01 06:10"}},
		{"the last one isn't due again", "10 6 * * *", "UTC", "2026-05-01 06:10", "2026-05-02 06:09", nil},
		{"last within the minute of a slot", "10 6 * * *", "UTC", "2026-05-01 06:10", "2026-05-02 06:10", []string{"2026-05-02 06:10|2026-05-02 06:10"}},
		{"three missed while the machine was off", "0 17 * * *", "UTC", "2026-05-01 17:00", "2026-05-04 18:00",
			[]string{"2026-05-02 17:00|2026-05-02 17:00", "2026-05-03 17:00|2026-05-03 17:00", "2026-05-04 17:00|2026-05-04 17:00"}},
		{"the clock went back", "0 17 * * *", "UTC", "2026-05-04 17:00", "2026-05-02 18:00", nil},
		{"no time has gone by", "0 17 * * *", "UTC", "2026-05-04 17:00", "2026-05-04 17:00", nil},
		{"30 February never comes", "0 5 30 2 *", "UTC", "2026-01-01 00:00", "2030-01-01 00:00", nil},
		{"29 February comes in leap years", "0 5 29 2 *", "UTC", "2026-01-01 00:00", "2033-01-01 00:00",
			[]string{"2028-02-29 05:00|2028-02-29 05:00", "2032-02-29 05:00|2032-02-29 05:00"}},
		{"a day of the month or a day of the week: either (1 May 2026 is a Friday)", "0 5 1 * sun", "UTC", "2026-04-30 12:00", "2026-05-04 00:00",
			[]string{"2026-05-01 05:00|2026-05-01 05:00", "2026-05-03 05:00|2026-05-03 05:00"}},
		{"summer time moves the moment", "10 6 * * *", "Europe/Helsinki", "2026-03-28 00:00", "2026-03-29 12:00",
			[]string{"2026-03-28 04:10|2026-03-28 06:10", "2026-03-29 03:10|2026-03-29 06:10"}},
		{"Helsinki's spring has no 03:30: first moment after the gap", "30 3 * * *", "Europe/Helsinki", "2026-03-28 12:00", "2026-03-30 12:00",
			[]string{"2026-03-29 01:00|2026-03-29 03:30", "2026-03-30 00:30|2026-03-30 03:30"}},
		{"last lies between the gap and the nominal time after it", "30 3 * * *", "Europe/Helsinki", "2026-03-29 01:00", "2026-03-29 12:00", nil},
		{"Helsinki's autumn has 03:30 twice: the first only", "30 3 * * *", "Europe/Helsinki", "2026-10-24 12:00", "2026-10-26 12:00",
			[]string{"2026-10-25 00:30|2026-10-25 03:30", "2026-10-26 01:30|2026-10-26 03:30"}},
		{"New York's spring has no 02:30", "30 2 * * *", "America/New_York", "2026-03-07 12:00", "2026-03-09 12:00",
			[]string{"2026-03-08 07:00|2026-03-08 02:30", "2026-03-09 06:30|2026-03-09 02:30"}},
		{"New York's autumn has 01:30 twice", "30 1 * * *", "America/New_York", "2026-10-31 12:00", "2026-11-02 12:00",
			[]string{"2026-11-01 05:30|2026-11-01 01:30", "2026-11-02 06:30|2026-11-02 01:30"}},
		{"Lord Howe's spring leaves out half an hour", "15 2 * * *", "Australia/Lord_Howe", "2026-10-03 00:00", "2026-10-04 12:00",
			[]string{"2026-10-03 15:30|2026-10-04 02:15"}},
		{"Lord Howe's autumn repeats half an hour", "45 1 * * *", "Australia/Lord_Howe", "2026-04-03 20:00", "2026-04-05 20:00",
			[]string{"2026-04-04 14:45|2026-04-05 01:45", "2026-04-05 15:15|2026-04-06 01:45"}},
		{"Santiago's spring has no midnight", "0 0 * * *", "America/Santiago", "2026-09-05 12:00", "2026-09-07 12:00",
			[]string{"2026-09-06 04:00|2026-09-06 00:00", "2026-09-07 03:00|2026-09-07 00:00"}},
		{"Samoa left out a whole day: its slot falls on the next", "0 17 * * *", "Pacific/Apia", "2011-12-30 00:00", "2011-12-31 12:00",
			[]string{"2011-12-30 03:00|2011-12-29 17:00", "2011-12-30 10:00|2011-12-30 17:00", "2011-12-31 03:00|2011-12-31 17:00"}},
		{"several that fall into a gap are due as one, the earliest", "0,30 2,3 * * *", "America/New_York", "2026-03-08 00:00", "2026-03-08 12:00",
			[]string{"2026-03-08 07:00|2026-03-08 02:00", "2026-03-08 07:30|2026-03-08 03:30"}},
		{"hourly, the repeated hour is not repeated", "0 * * * *", "America/New_York", "2026-11-01 04:30", "2026-11-01 07:30",
			[]string{"2026-11-01 05:00|2026-11-01 01:00", "2026-11-01 07:00|2026-11-01 02:00"}},
		{"UTC knows no clock changes", "30 2 * * *", "UTC", "2026-03-28 12:00", "2026-03-30 12:00",
			[]string{"2026-03-29 02:30|2026-03-29 02:30", "2026-03-30 02:30|2026-03-30 02:30"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			due, skipped := schedule.Due(rule(t, row.spec, row.zone), utc(row.last), utc(row.now), 10)
			if got := shown(due); skipped != 0 || !slices.Equal(got, row.want) {
				t.Errorf("%d skipped, got\n%s\nwant\n%s", skipped, strings.Join(got, "\n"), strings.Join(row.want, "\n"))
			}
		})
	}
}

func TestMoreMissedThanTheLimitAreCounted(t *testing.T) {
	r := rule(t, "10 6 * * *", "UTC")
	for limit, first := range map[int]string{1: "2026-05-11", 3: "2026-05-09", 10: "2026-05-02", 11: "2026-05-02"} {
		due, skipped := schedule.Due(r, utc("2026-05-01 06:10"), utc("2026-05-11 07:00"), limit)
		if len(due) != min(limit, 10) || skipped != 10-len(due) || due[0].Date != civil.MustParse(first) || due[len(due)-1].Date != civil.MustParse("2026-05-11") {
			t.Errorf("limit %d: %v, skipped %d", limit, shown(due), skipped)
		}
	}
	if due, skipped := schedule.Due(r, utc("2026-05-01 06:10"), utc("2026-05-11 07:00"), 0); len(due) != 0 || skipped != 10 {
		t.Errorf("limit 0: %v, skipped %d", due, skipped)
	}
}

// 100 days of minutes are 144,000 slots; going back over a day for each, as an
// early version did, takes minutes.
func TestALongPauseOfAFrequentRuleIsCountedInTime(t *testing.T) {
	r := rule(t, "* * * * *", "UTC")
	due, skipped := schedule.Due(r, utc("2026-01-01 00:00"), utc("2026-04-11 00:00"), 1)
	if len(due) != 1 || skipped != 100*24*60-1 {
		t.Errorf("%d due, %d skipped", len(due), skipped)
	}
}

var zones = []string{
	"Europe/Helsinki", "Europe/London", "Europe/Lisbon", "America/New_York", "America/St_Johns", "America/Santiago", "America/Havana",
	"America/Asuncion", "Africa/Cairo", "Africa/Casablanca", "Asia/Beirut", "Asia/Kathmandu", "Asia/Tehran", "Asia/Gaza", "Australia/Lord_Howe",
	"Pacific/Chatham", "Pacific/Apia", "Antarctica/Troll", "Atlantic/Azores", "UTC",
}

func drawZone(t *rapid.T) string { return rapid.SampledFrom(zones).Draw(t, "zone") }

func drawSpec(t *rapid.T) string {
	field := func(name string, low, high int) string {
		a := rapid.IntRange(low, high).Draw(t, name)
		switch rapid.IntRange(0, 3).Draw(t, name+" form") {
		case 0:
			return "*"
		case 1:
			return fmt.Sprintf("%d-%d", a, rapid.IntRange(a, high).Draw(t, name+" end"))
		case 2:
			return fmt.Sprintf("*/%d", max(a, 1))
		default:
			return fmt.Sprint(a)
		}
	}
	return field("minute", 0, 59) + " " + field("hour", 0, 23) + " * * " + field("weekday", 0, 6)
}

func TestADailyRuleFallsDueOnceEveryLocalDayForFiveYears(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := drawZone(t)
		spec := fmt.Sprintf("%d %d * * *", rapid.IntRange(0, 59).Draw(t, "minute"), rapid.IntRange(0, 23).Draw(t, "hour"))
		first := civil.Of(2024, 1, 1) + civil.Date(rapid.IntRange(0, 365).Draw(t, "from"))
		start := first.In(zone(t, name), 0, 0).Add(-time.Second)
		due, skipped := schedule.Due(rule(t, spec, name), start, start.AddDate(5, 0, 0), 2000)
		if len(due) < 5*365-1 || skipped != 0 || due[0].Date > first+1 {
			t.Fatalf("%s in %s: %d slots in five years from %s, the first %v", spec, name, len(due), start, due[0])
		}
		for i := 1; i < len(due); i++ {
			if due[i].Date != due[i-1].Date+1 || !due[i].At.After(due[i-1].At) || due[i].Nominal != due[0].Nominal {
				t.Fatalf("%s in %s: %v is followed by %v", spec, name, due[i-1], due[i])
			}
		}
	})
}

func TestSlotsIncreaseAndNoneIsRepeatedHoweverTheyAreAskedFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rule(t, drawSpec(t), drawZone(t))
		last := utc("2026-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 330*24).Draw(t, "from")) * time.Hour)
		end := last.Add(30 * 24 * time.Hour)
		whole, _ := schedule.Due(r, last, end, 50_000)
		// Asked at random moments, each time after the last slot done.
		var pieces []schedule.Slot
		for now := last; now.Before(end); {
			now = now.Add(time.Duration(rapid.IntRange(1, 5*24*60).Draw(t, "pause")) * time.Minute)
			if now.After(end) {
				now = end
			}
			due, _ := schedule.Due(r, last, now, 50_000)
			pieces = append(pieces, due...)
			if len(due) > 0 {
				last = due[len(due)-1].At
			}
		}
		if !slices.Equal(shown(whole), shown(pieces)) {
			t.Fatalf("%s: %d slots at once, %d in pieces", r, len(whole), len(pieces))
		}
		seen := map[string]bool{}
		for i, s := range whole {
			key := s.Date.String() + " " + s.Nominal
			if seen[key] || i > 0 && !s.At.After(whole[i-1].At) {
				t.Fatalf("%s: %s at %s is repeated or out of order", r, key, s.At)
			}
			seen[key] = true
		}
	})
}

// The rule about clock changes again, by trying minute after minute: the first
// minute at which the clock on the wall reads the nominal time, or has passed
// it.
func TestASlotIsTheFirstMinuteAtWhichTheWallClockReachesIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := drawZone(t)
		loc := zone(t, name)
		around := utc("2010-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 20*365*24).Draw(t, "around")) * time.Hour)
		if _, change := around.In(loc).ZoneBounds(); !change.IsZero() {
			around = change.Add(time.Duration(rapid.IntRange(-4*60, 4*60).Draw(t, "near")) * time.Minute)
		}
		wall := around.In(loc)
		spec := fmt.Sprintf("%d %d %d %d *", wall.Minute(), wall.Hour(), wall.Day(), wall.Month())
		day, hm := civil.At(wall), wall.Format("15:04")
		var first time.Time
		for at := around.Add(-26 * time.Hour).Truncate(time.Minute); first.IsZero(); at = at.Add(time.Minute) {
			local := at.In(loc)
			if d := civil.At(local); d > day || d == day && local.Format("15:04") >= hm {
				first = at
			}
		}
		due, _ := schedule.Due(rule(t, spec, name), first.Add(-time.Hour), first.Add(30*time.Hour), 5)
		if len(due) != 1 || !due[0].At.Equal(first) || due[0].Date != day || due[0].Nominal != hm {
			t.Fatalf("%s in %s: want %s, got %v", spec, name, first.UTC(), shown(due))
		}
	})
}
