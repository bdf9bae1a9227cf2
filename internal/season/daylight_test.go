package season_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/season"
)

// day gives the daylight of one whole solar day, in hours.
func dayHours(latDeg, lonDeg float64, day string) float64 {
	d := civil.MustParse(day)
	s := season.Site{LatDeg: latDeg, LonDeg: lonDeg, Settings: season.Defaults()}
	midnight := d.In(time.UTC, 0, 0).Add(-time.Duration(lonDeg * 4 * float64(time.Minute)))
	return season.Daylight(s, midnight, d).Hours()
}

func TestDaylightIsThatOfTheAlmanac(t *testing.T) {
	for _, r := range []struct {
		what     string
		lat, lon float64
		day      string
		hours    float64
		within   float64
	}{
		{"equinox at the equator (geometry)", 0, 0, "2031-03-21", 12, 0.1},
		{"equinox at 56° N (geometry)", 56, 24, "2031-03-21", 12, 0.3},
		{"equinox at 65° N (geometry)", 65, 25, "2031-03-21", 12, 0.3},
		{"autumn equinox at 65° N (geometry)", 65, 25, "2031-09-23", 12, 0.3},
		{"equinox at 65° S (geometry)", -65, -70, "2031-03-21", 12, 0.3},
		{"midsummer in Helsinki (18.9 h, from memory; that counts refraction, 0.3 h)", 60.2, 25, "2031-06-21", 18.9, 0.45},
		{"midwinter in Helsinki (5.8 h, from memory)", 60.2, 25, "2031-12-21", 5.8, 0.45},
		{"midsummer at 68° N: the sun doesn't set", 68, 27, "2031-06-21", 24, 0},
		{"midwinter at 68° N: the sun doesn't rise", 68, 27, "2031-12-21", 0, 0},
		{"midsummer at the pole", 90, 0, "2031-06-21", 24, 0},
	} {
		if got := dayHours(r.lat, r.lon, r.day); math.Abs(got-r.hours) > r.within+1e-6 {
			t.Errorf("%s: %.2f h, want %.2f ± %.2f", r.what, got, r.hours, r.within)
		}
	}
}

func TestDaylightLeftShrinksAndNeverGoesBelowNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := season.Site{
			LatDeg: rapid.Float64Range(-89, 89).Draw(t, "lat"), LonDeg: rapid.Float64Range(-180, 180).Draw(t, "lon"), Settings: asWritten(),
		}
		now := civil.MustParse("2031-01-01").In(time.UTC, 0, 0).Add(time.Duration(rapid.Int64Range(0, 365*24*60).Draw(t, "minute")) * time.Minute)
		last := civil.At(now) + civil.Date(rapid.IntRange(-3, 40).Draw(t, "days left"))
		later := now.Add(time.Duration(rapid.Int64Range(1, 12*60).Draw(t, "wait")) * time.Minute)
		a, b := season.Daylight(s, now, last), season.Daylight(s, later, last)
		if last >= civil.At(later)+2 && b > a {
			t.Fatalf("daylight left grows from %s to %s", a, b)
		}
		if days := max(int(last-civil.At(now)), 0) + 2; a < 0 || a > time.Duration(days)*24*time.Hour {
			t.Fatalf("%s of daylight in %d days", a, days)
		}
		got := season.AnswerTime(s, last, now)
		if got < 30*time.Minute || got > s.Settings.AnswerTime || got%time.Minute != 0 {
			t.Fatalf("%s is allowed for an answer", got)
		}
		if third := a / 3; got > max(third, 30*time.Minute) {
			t.Fatalf("%s is allowed for an answer, a third of what is left is %s", got, third)
		}
	})
}

func TestTheTimeForAnAnswerIsTheSmallerOfTheSettingAndAThirdOfTheDaylight(t *testing.T) {
	s := kolmi()
	for _, r := range []struct {
		what, now, clock, last string
		want                   time.Duration
		within                 time.Duration
	}{
		{"a week is left: the setting", "2031-04-26", "17:00", "2031-05-03", 24 * time.Hour, 0},
		{"an evening and a day at 62° N, 3.4 h and 16.1 h: a third", "2031-05-02", "17:00", "2031-05-03", 6*time.Hour + 40*time.Minute, 20 * time.Minute},
		{"the last morning, 15 h: a third", "2031-05-03", "06:10", "2031-05-03", 5 * time.Hour, 15 * time.Minute},
		{"the last day's night: half an hour", "2031-05-03", "23:00", "2031-05-03", 30 * time.Minute, 0},
		{"past the last day: of what is left of today", "2031-05-05", "06:10", "2031-05-03", 5 * time.Hour, 15 * time.Minute},
	} {
		got := season.AnswerTime(s, civil.MustParse(r.last), moment(r.now, r.clock))
		if (got - r.want).Abs() > r.within {
			t.Errorf("%s: %s, want %s ± %s", r.what, got, r.want, r.within)
		}
	}
}
