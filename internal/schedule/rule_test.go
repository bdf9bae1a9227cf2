package schedule_test

import (
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/schedule"
)

func zone(t interface{ Fatal(...any) }, name string) *time.Location {
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func utc(s string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		panic(err)
	}
	return t
}

// Clock changes of 2026: EU 29 March and 25 October at 01:00 UTC; New York 8
// March and 1 November; Lord Howe 5 April and 4 October, half an hour (IANA
// time zone database). Expected moments worked out by hand from these.
func TestSlotsThroughClockChanges(t *testing.T) {
	for _, row := range []struct {
		name, spec, zone, last, now string
		want                        []string // UTC moments, then local date and nominal time
	}{
		{"before the first slot", "10 6 * * *", "UTC", "2026-05-01 00:00", "2026-05-01 06:09", nil},
		{"exactly on a slot", "10 6 * * *", "UTC", "2026-05-01 00:00", "2026-05-01 06:10", []string{"2026-05-01 06:10|2026-05-01 06:10"}},
		{"the last one isn't due again", "10 6 * * *", "UTC", "2026-05-01 06:10", "2026-05-02 06:09", nil},
		{"summer time moves the moment", "10 6 * * *", "Europe/Helsinki", "2026-03-28 00:00", "2026-03-29 12:00",
			[]string{"2026-03-28 04:10|2026-03-28 06:10", "2026-03-29 03:10|2026-03-29 06:10"}},
		{"03:30 doesn't exist on the Sunday: first moment after the gap", "30 3 * * *", "Europe/Helsinki", "2026-03-28 12:00", "2026-03-30 12:00",
			[]string{"2026-03-29 01:00|2026-03-29 03:30", "2026-03-30 00:30|2026-03-30 03:30"}},
		{"03:30 comes twice in autumn: the first time only", "30 3 * * *", "Europe/Helsinki", "2026-10-24 12:00", "2026-10-26 12:00",
			[]string{"2026-10-25 00:30|2026-10-25 03:30", "2026-10-26 01:30|2026-10-26 03:30"}},
		{"02:30 in New York's spring", "30 2 * * *", "America/New_York", "2026-03-07 12:00", "2026-03-09 12:00",
			[]string{"2026-03-08 07:00|2026-03-08 02:30", "2026-03-09 06:30|2026-03-09 02:30"}},
		{"01:30 in New York's autumn", "30 1 * * *", "America/New_York", "2026-10-31 12:00", "2026-11-02 12:00",
			[]string{"2026-11-01 05:30|2026-11-01 01:30", "2026-11-02 06:30|2026-11-02 01:30"}},
		{"half an hour on Lord Howe", "15 2 * * *", "Australia/Lord_Howe", "2026-10-03 00:00", "2026-10-04 12:00",
			[]string{"2026-10-03 15:30|2026-10-04 02:15"}},
		{"three days off", "0 17 * * *", "UTC", "2026-05-01 17:00", "2026-05-04 18:00",
			[]string{"2026-05-02 17:00|2026-05-02 17:00", "2026-05-03 17:00|2026-05-03 17:00", "2026-05-04 17:00|2026-05-04 17:00"}},
		{"the clock went back", "0 17 * * *", "UTC", "2026-05-04 17:00", "2026-05-02 18:00", nil},
		{"30 February never comes", "0 5 30 2 *", "UTC", "2026-01-01 00:00", "2030-01-01 00:00", nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, err := schedule.Parse(row.spec, zone(t, row.zone))
			if err != nil {
				t.Fatal(err)
			}
			due, skipped := schedule.Due(r, utc(row.last), utc(row.now), 10)
			var got []string
			for _, s := range due {
				got = append(got, s.At.UTC().Format("2006-01-02 15:04")+"|"+s.Date.String()+" "+s.Nominal)
			}
			if skipped != 0 || len(got) != len(row.want) {
				t.Fatalf("got %v (%d skipped), want %v", got, skipped, row.want)
			}
			for i := range got {
				if got[i] != row.want[i] {
					t.Errorf("got %s, want %s", got[i], row.want[i])
				}
			}
		})
	}
}

func TestMoreMissedThanTheLimitIsCounted(t *testing.T) {
	r, err := schedule.Parse("10 6 * * *", time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	due, skipped := schedule.Due(r, utc("2026-05-01 06:10"), utc("2026-05-11 07:00"), 1)
	if len(due) != 1 || skipped != 9 || due[0].Date != civil.MustParse("2026-05-11") {
		t.Errorf("due %v, skipped %d", due, skipped)
	}
}

func TestWhatIsNoRule(t *testing.T) {
	for _, spec := range []string{"", "TZ=UTC", "CRON_TZ=UTC 1 2 3 4 5", "@every 1h", "@daily", "10 6 * *", "0 10 6 * * *", "61 6 * * *", "10 25 * * *", "10 6 * * 7", "a b c d e"} {
		if _, err := schedule.Parse(spec, time.UTC); err == nil {
			t.Errorf("%q was taken", spec)
		}
	}
}

func TestNightSlotsAreWarnedOf(t *testing.T) {
	for _, row := range []struct {
		spec, zone string
		warned     bool
	}{
		{"30 2 * * *", "Europe/Helsinki", true}, {"0 5 * * *", "Europe/Helsinki", false}, {"30 2 * * *", "UTC", false},
	} {
		r, err := schedule.Parse(row.spec, zone(t, row.zone))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(r.Warnings()) > 0; got != row.warned {
			t.Errorf("%s in %s: warned %v", row.spec, row.zone, got)
		}
	}
}

func TestADailyRuleFallsDueOnceEveryLocalDay(t *testing.T) {
	names := []string{"Europe/Helsinki", "America/New_York", "Australia/Lord_Howe", "America/Santiago", "Africa/Cairo", "UTC", "Asia/Kathmandu"}
	rapid.Check(t, func(t *rapid.T) {
		loc := zone(t, rapid.SampledFrom(names).Draw(t, "zone"))
		spec := time.Date(0, 1, 1, rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute"), 0, 0, time.UTC).Format("4 15 * * *")
		r, err := schedule.Parse(spec, loc)
		if err != nil {
			t.Fatal(err)
		}
		start := utc("2024-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 365*24).Draw(t, "from")) * time.Hour)
		due, _ := schedule.Due(r, start, start.AddDate(1, 0, 0), 1000)
		for i := 1; i < len(due); i++ {
			if due[i].Date != due[i-1].Date+1 || !due[i].At.After(due[i-1].At) {
				t.Fatalf("%s in %s: %v is followed by %v", spec, loc, due[i-1], due[i])
			}
		}
		if len(due) < 364 {
			t.Fatalf("%d slots a year", len(due))
		}
	})
}
