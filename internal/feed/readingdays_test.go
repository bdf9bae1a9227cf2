package feed_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// series gives readings from a moment on, each a step after the one before;
// their temperature is what of says.
func series(from string, step time.Duration, n int, of func(time.Time) float64) (out []feed.Reading) {
	at, err := time.Parse(time.RFC3339, from)
	if err != nil {
		panic(err)
	}
	for i := range n {
		out = append(out, feed.Reading{At: at, TempC: of(at), MinC: math.NaN(), MaxC: math.NaN(), Line: i + 1})
		at = at.Add(step)
	}
	return out
}

func rule(t testing.TB, window string, zone *time.Location) feed.DayRule {
	t.Helper()
	w, err := feed.ParseWindow(window)
	if err != nil {
		t.Fatal(err)
	}
	r, err := feed.NewDayRule(feed.Options{Window: w, Zone: zone})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func hourUTC(at time.Time) float64 { return float64(at.UTC().Hour()) }

func TestADayOfEachWindow(t *testing.T) {
	// Hourly readings of three days whose temperature is the hour of UTC, plus
	// 100 on 2 May, so that a shifted window shows. Computed by hand.
	of := func(at time.Time) float64 {
		if at.UTC().Day() == 2 {
			return 100 + hourUTC(at)
		}
		return hourUTC(at)
	}
	all := series("2031-05-01T00:00:00Z", time.Hour, 72, of)
	for _, row := range []struct {
		window string
		want   weather.Day // of the day that 2 May is
	}{
		{"00-24 UTC", day("2031-05-02", 100, 123, 111.5)},
		// 18–18: six hours 18 to 23 of 1 May (20.5) and eighteen 100 to 117 of 2 May (108.5)
		{"18-18 UTC", day("2031-05-02", 18, 117, 86.5)},
		{"18-18 UTC start", day("2031-05-01", 18, 117, 86.5)},
		// 19–18 is the 24 hours after 18:00 up to and with 18:00: 19 to 23 (21), and 100 to 118 (109)
		{"19-18 UTC end", day("2031-05-02", 19, 118, (5*21.0+19*109)/24)},
		// local standard time UTC+02:00: from 22:00 of 1 May to 21:00 of 2 May
		{"00-24 UTC+02:00", day("2031-05-02", 22, 121, (45.0+22*110.5)/24)},
		// morning to morning: 07 to 23 of 2 May, 0 to 6 of 3 May
		{"07-07 UTC start", day("2031-05-02", 0, 123, (17*115.0+21)/24)},
		{"07-07 UTC end", day("2031-05-03", 0, 123, (17*115.0+21)/24)},
		{"09-09 UTC-01:00 start", day("2031-05-02", 0, 123, (14*116.5+45)/24)},
	} {
		r := rule(t, row.window, nil)
		found := false
		for _, d := range r.Days(all) {
			if d.Date == row.want.Date {
				found = true
				row.want.MeanC = math.Round(row.want.MeanC*100) / 100
				sameDays(t, row.window, []weather.Day{d.Day}, []weather.Day{row.want})
				if !r.Complete(d) || d.Share != 1 {
					t.Errorf("%s: %+v", row.window, d)
				}
			}
		}
		if !found {
			t.Errorf("%s: no %s", row.window, row.want.Date)
		}
	}
}

func TestValuesOfAnHourBelongToWhereTheyBegan(t *testing.T) {
	// Hourly means stamped at their end: the stamp 00:00 is the last hour of
	// the day before. 24 values 1 to 24 have the mean 12.5.
	var all []feed.Reading
	for h := 1; h <= 24; h++ {
		all = append(all, feed.Reading{At: civil.MustParse("2031-05-01").Midnight().Add(time.Duration(h) * time.Hour), Over: time.Hour,
			TempC: float64(h), MinC: float64(h) - 1, MaxC: float64(h) + 1, Line: h})
	}
	r := rule(t, "00-24 UTC", nil)
	made := r.Days(all)
	if len(made) != 1 || !r.Complete(made[0]) || made[0].Share != 1 || made[0].Gap != 0 {
		t.Fatalf("%+v", made)
	}
	sameDays(t, "with the extremes of the hours", []weather.Day{made[0].Day}, []weather.Day{day("2031-05-01", 0, 25, 12.5)})
}

func TestClockChangesAndLeapDays(t *testing.T) {
	zone := helsinki(t)
	hours := func(date string, zone *time.Location) (first, n int) {
		start, end := civil.MustParse(date).In(zone, 0, 0), (civil.MustParse(date)+1).In(zone, 0, 0)
		return start.UTC().Hour(), int(end.Sub(start).Hours())
	}
	// Summer time in Finland starts on 30 March 2031 and ends on 26 October
	// 2031 (last Sundays; Directive 2000/84/EC).
	for _, row := range []struct {
		date  string
		first int // hour of UTC, on the day before
		hours int
	}{{"2031-03-29", 22, 24}, {"2031-03-30", 22, 23}, {"2031-03-31", 21, 24}, {"2031-10-26", 21, 25}, {"2031-10-27", 22, 24}, {"2032-02-29", 22, 24}} {
		if first, n := hours(row.date, zone); first != row.first || n != row.hours {
			t.Fatalf("%s begins at %d and has %d hours", row.date, first, n)
		}
		from := (civil.MustParse(row.date) - 2).Midnight().Format(time.RFC3339)
		count := map[civil.Date]int{}
		all := series(from, 30*time.Minute, 48*5, func(at time.Time) float64 {
			count[civil.At(at.In(zone))]++
			return float64(at.Unix()-civil.MustParse(row.date).Midnight().Unix()) / 3600
		})
		r := rule(t, "00-24 Europe/Helsinki", zone)
		for _, d := range r.Days(all) {
			if d.Date != civil.MustParse(row.date) {
				continue
			}
			// first reading at first-24, last half an hour before the end
			lowest, highest := float64(row.first-24), float64(row.first-24+row.hours)-0.5
			sameDays(t, row.date, []weather.Day{d.Day}, []weather.Day{day(row.date, lowest, highest, (lowest+highest)/2)})
			if !r.Complete(d) || d.Share != 1 || count[d.Date] != 2*row.hours {
				t.Errorf("%s: %+v of %d readings", row.date, d, count[d.Date])
			}
		}
		standard := rule(t, "00-24 UTC+02:00", nil)
		for _, d := range standard.Days(all) {
			if d.Date == civil.MustParse(row.date) {
				sameDays(t, row.date+" in standard time", []weather.Day{d.Day}, []weather.Day{day(row.date, -2, 21.5, 9.75)})
			}
		}
	}
}

func TestWhatADayNeeds(t *testing.T) {
	const from = "2031-05-01T00:00:00Z"
	without := func(all []feed.Reading, hours ...int) (out []feed.Reading) {
		gone := map[int]bool{}
		for _, h := range hours {
			gone[h] = true
		}
		for _, r := range all {
			if !gone[r.At.Hour()] || r.At.Day() != 2 {
				out = append(out, r)
			}
		}
		return out
	}
	three := func(step time.Duration) []feed.Reading { return series(from, step, int(72*time.Hour/step), hourUTC) }
	for _, row := range []struct {
		sentence string
		readings []feed.Reading
		complete bool
	}{
		{"every hour", three(time.Hour), true},
		{"every ten minutes", three(10 * time.Minute), true},
		{"every three hours", three(3 * time.Hour), true},
		{"every four hours is too far apart", three(4 * time.Hour), false},
		{"two hours lost in a row leave three", without(three(time.Hour), 4, 5), true},
		{"three lost in a row leave four", without(three(time.Hour), 4, 5, 6), false},
		{"four lost of 24 are 83 %", without(three(time.Hour), 1, 7, 13, 19), true},
		{"five lost of 24 are 79 %", without(three(time.Hour), 1, 5, 9, 13, 19), false},
		{"the first two lost", without(three(time.Hour), 0, 1), true},
		{"the last two lost", without(three(time.Hour), 22, 23), true},
		{"the last three lost", without(three(time.Hour), 21, 22, 23), false},
	} {
		r := rule(t, "00-24 UTC", nil)
		for _, d := range r.Days(row.readings) {
			if d.Date == civil.MustParse("2031-05-02") && r.Complete(d) != row.complete {
				t.Errorf("%s: share %.2f, gap %s", row.sentence, d.Share, d.Gap)
			}
		}
	}
}

func TestSettingsOfTheDayRule(t *testing.T) {
	for _, row := range []struct {
		sentence string
		opt      feed.Options
		says     string
	}{
		{"no window", feed.Options{}, "add a window"},
		{"a zone nobody loaded", feed.Options{Window: feed.Window{EndHour: 24, Zone: "Europe/Oslo", Label: feed.LabelStart}}, `"Europe/Oslo" isn't known here`},
		{"a share above one", feed.Options{Zone: time.UTC, LeastShare: 1.1}, "share"},
		{"a gap below nothing", feed.Options{Zone: time.UTC, LongestGap: -time.Hour}, "gap"},
	} {
		if _, err := feed.NewDayRule(row.opt); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v", row.sentence, err)
		}
	}
	r, err := feed.NewDayRule(feed.Options{Zone: helsinki(t), LeastShare: 0.5, LongestGap: 6 * time.Hour})
	if err != nil || r.Window.Zone != "Europe/Helsinki" || r.LeastShare != 0.5 || r.LongestGap != 6*time.Hour {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestAProvisionalDayIsReplacedByTheFinalOne(t *testing.T) {
	const head = "Date Time, GMT+00:00;Temp, °C\n"
	rows := func(last int) string {
		var b strings.Builder
		for h := 0; h <= last; h++ {
			at := civil.MustParse("2031-05-01").Midnight().Add(time.Duration(h) * time.Hour)
			b.WriteString(at.Format("2006-01-02 15:04") + ";" + at.Format("15") + ".0\n")
		}
		return head + b.String()
	}
	opt := feed.Options{Zone: time.UTC}
	early := parse(t, "logger", []byte(rows(24+11)), opt)
	sameDays(t, "the day that is over", early.Days, []weather.Day{day("2031-05-01", 0, 23, 11.5)})
	sameDays(t, "the day that isn't", early.Provisional, []weather.Day{day("2031-05-02", 0, 11, 5.5)})
	late := parse(t, "logger", []byte(rows(24+23)), opt)
	sameDays(t, "the final day", late.Days, []weather.Day{day("2031-05-01", 0, 23, 11.5), day("2031-05-02", 0, 23, 11.5)})
	if len(late.Provisional) != 0 || late.MeanOf != feed.MeanReadings {
		t.Errorf("%+v", late)
	}
}

// TestEvenStepsGiveThePlainMean is the promise of Days' weights, and that no
// reading is in two days or none.
func TestEvenStepsGiveThePlainMean(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		step := rapid.SampledFrom([]time.Duration{10 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 3 * time.Hour}).Draw(r, "step")
		window := rapid.SampledFrom([]string{"00-24 UTC", "18-18 UTC", "19-18 UTC", "06-06 UTC start", "00-24 UTC+02:00"}).Draw(r, "window")
		var sum, n float64
		all := series("2031-05-01T00:00:00Z", step, int(96*time.Hour/step), func(at time.Time) float64 {
			return float64(rapid.IntRange(-300, 300).Draw(r, "tenths")) / 10
		})
		rule := rule(t, window, nil)
		in := 0
		for _, d := range rule.Days(all) {
			if d.Date != civil.MustParse("2031-05-03") {
				continue
			}
			for _, reading := range all {
				if got := rule.Days([]feed.Reading{reading}); len(got) == 1 && got[0].Date == d.Date {
					sum += reading.TempC
					n++
					in++
				}
			}
			if math.Abs(d.MeanC-sum/n) > 0.0051 || in != int(24*time.Hour/step) {
				r.Fatalf("mean %v, want %v of %d", d.MeanC, sum/n, in)
			}
		}
		if in == 0 {
			r.Fatal("no day")
		}
	})
}
