package feed_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestLoggerFilesOfOurOwn(t *testing.T) {
	local := feed.Window{EndHour: 24, Zone: "UTC+02:00", Label: feed.LabelStart}
	b := parse(t, "logger", sample(t, "logger/clean.csv"), feed.Options{Window: local, Station: "KUU"})
	// 2-hourly, 10 °C at noon, half a degree less an hour, 2 K more on 2 May
	sameDays(t, "clean", b.Days, []weather.Day{day("2031-04-30", none, none, none), day("2031-05-01", 4, 10, 7), day("2031-05-02", 6, 12, 9)})
	if b.OtherRecords != 2 || len(b.Rejects) != 0 || len(b.Partial) != 2 || len(b.Provisional) != 1 || b.Window != local || b.MeanOf != feed.MeanReadings {
		t.Errorf("%+v", b)
	}

	dirty := sample(t, "logger/dirty.csv")
	refused(t, "no clock", "logger", string(dirty), feed.Options{Window: local}, "line 1", "fixed offset of the logger's clock")
	b = parse(t, "logger", dirty, feed.Options{Window: local, Clock: "UTC+02:00"})
	sameDays(t, "dirty", b.Days, []weather.Day{day("2031-10-25", none, none, none), day("2031-10-26", none, none, none), day("2031-10-27", 4, 6, 5)})
	sameRejects(t, b.Rejects, map[int]string{
		6: "the longest gap is 4h30m0s", 12: "has the moment of line 10 and another value", 13: "has the moment of line 11",
		14: "-200 is no temperature", 15: "decimal mark ','", 17: `"abc" is no number`, 18: "no such day", 19: "has 1 fields"})
	if b.MissingValues != 1 || b.OtherRecords != 2 {
		t.Errorf("%d missing, %d events", b.MissingValues, b.OtherRecords)
	}

	b = parse(t, "logger", sample(t, "logger/edge.txt"), feed.Options{Zone: time.UTC, Clock: "UTC"})
	// 32 °F = 0 °C, 41 °F = 5 °C (noon to 18), 50 °F = 10 °C, 59 °F = 15 °C. The
	// mean of 29 February: each reading weighs half the time to its neighbours,
	// the noon one (60+10)/2 = 35 minutes of 24 h 25 min in all.
	sameDays(t, "edge", b.Days, []weather.Day{day("2032-02-28", 0, 5, 1.25), day("2032-02-29", 10, 15, 11.31), day("2032-03-01", 0, 5, 1.25)})

	columns := map[string]string{"time": "2", "temp": "4", "error": "9"}
	b = parse(t, "logger", sample(t, "logger/headerless.csv"), feed.Options{Columns: columns, Unit: "C", Clock: "UTC", ReadingsOnly: true})
	if len(b.Readings) != 99 || b.Readings[0].TempC != 16.875 {
		t.Errorf("%d readings", len(b.Readings))
	}
	columns["zone"] = "3" // eight quarter hours: the stamps are UTC+02:00
	b = parse(t, "logger", sample(t, "logger/headerless.csv"), feed.Options{Columns: columns, Unit: "C", ReadingsOnly: true})
	if got := b.Readings[0].At.Format(time.RFC3339); got != "2031-06-14T22:00:00Z" {
		t.Error(got)
	}
}

func TestTheOrderOfADateIsProvedOrDeclared(t *testing.T) {
	file := func(stamps ...string) string {
		text := "Date Time, GMT+00:00;Temp, °C\n"
		for _, s := range stamps {
			text += s + ";5.5\n"
		}
		return text
	}
	for _, row := range []struct {
		sentence string
		stamps   []string
		layout   string
		want     string // the first moment; or
		says     string // why it is refused
	}{
		{"a day above 12 in the middle", []string{"12/25/31 00:00", "12/25/31 01:00"}, "", "2031-12-25T00:00:00Z", ""},
		{"a day above 12 in front, a year with four digits", []string{"25.12.2031 00:00"}, "", "2031-12-25T00:00:00Z", ""},
		{"a year in front", []string{"2031-04-08 00:00"}, "", "2031-04-08T00:00:00Z", ""},
		{"three orders, one day", []string{"04.08.21 10:00", "04.08.21 11:00"}, "", "", "2004-08-21 as YY.MM.DD, 2021-04-08 as MM.DD.YY, 2021-08-04 as DD.MM.YY"},
		{"three orders, declared", []string{"04.08.21 10:00"}, "DD.MM.YY", "2021-08-04T10:00:00Z", ""},
		{"the same in another layout with the same order", []string{"04.08.2021 10:00"}, "DD.MM.YYYY", "2021-08-04T10:00:00Z", ""},
		{"two orders of a year at the end", []string{"04.08.2021 10:00", "04.08.2021 11:00"}, "", "", "add date_layout"},
		{"only one order makes days that follow one another", []string{"04.08.21 23:00", "04.09.21 00:00"}, "", "2021-04-08T23:00:00Z", ""},
		{"a hole of months proves nothing", []string{"04.08.21 23:00", "04.09.21 00:00", "05.10.21 00:00"}, "", "", "nothing proves the order"},
		{"a declared order that the dates contradict", []string{"25.12.2031 00:00"}, "MM/DD/YYYY", "", "no such day"},
		{"an order that is none", []string{"25.12.2031 00:00"}, "YDM", "", "write one of"},
	} {
		opt := feed.Options{DateLayout: row.layout, ReadingsOnly: true}
		if row.says != "" {
			refused(t, row.sentence, "logger", file(row.stamps...), opt, row.says)
			continue
		}
		b := parse(t, "logger", []byte(file(row.stamps...)), opt)
		if got := b.Readings[0].At.Format(time.RFC3339); got != row.want {
			t.Errorf("%s: %s", row.sentence, got)
		}
	}
}

func TestTimesThatLoggersWrite(t *testing.T) {
	for stamp, want := range map[string]string{
		"25.12.2031 07:05":            "07:05:00",
		"25.12.2031 07:05:09":         "07:05:09",
		"12/25/31 12:00:00 AM":        "00:00:00",
		"12/25/31 12:30:00 PM":        "12:30:00",
		"12/25/31 01:00:00 pm":        "13:00:00",
		"12/25/31 03:00:00 odp.":      "15:00:00",
		"12/25/31 03:00:00 dop.":      "03:00:00",
		"12/25/31 03:00:00 fm":        "03:00:00",
		"12/25/31 03:00:00 em":        "15:00:00",
		"2031-12-25T07:05:00Z":        "07:05:00",
		"2031-12-25T07:05:00+02:00":   "05:05:00",
		"2031-12-25 07:05:00.250":     "07:05:00",
		"20311225 07:05":              "07:05:00",
		"2031.12.25 07:05":            "07:05:00",
		"25.12.2031 25:00":            "",
		"25.12.2031 07:60":            "",
		"12/25/31 13:00:00 PM":        "",
		"12/25/31 01:00:00 uhr":       "",
		"25.12.2031":                  "",
		"25-12/2031 07:05":            "",
		"25.12.331 07:05":             "",
		"25.2031.12 07:05":            "",
		"07:05 25.12.2031":            "",
		"25.12.2031 7":                "",
		"٢٥.١٢.٢٠٣١ 07:05":            "",
		"25.12.2031 07:05:00 PM late": "",
	} {
		body := []byte("Date Time;Temp (°C)\n25.12.2031 23:00;1.5\n" + stamp + ";2.5\n")
		b, err := feed.Parse("logger", strings.NewReader(string(body)), feed.Options{Clock: "UTC", ReadingsOnly: true})
		if strings.HasPrefix(stamp, "12/") || strings.HasPrefix(stamp, "20") {
			body = []byte("Date Time;Temp (°C)\n" + stamp + ";2.5\n")
			b, err = feed.Parse("logger", strings.NewReader(string(body)), feed.Options{Clock: "UTC", ReadingsOnly: true})
		}
		if want == "" {
			if err == nil && len(b.Rejects) == 0 {
				t.Errorf("%q was read: %+v", stamp, b.Readings)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", stamp, err)
			continue
		}
		found := false
		for _, r := range b.Readings {
			found = found || r.TempC == 2.5 && r.At.Format(time.DateTime) == "2031-12-25 "+want
		}
		if !found {
			t.Errorf("%q: %+v", stamp, b.Readings)
		}
	}
}

func TestWhatALoggersHeaderProves(t *testing.T) {
	const row = "2031-05-01 00:00;5.5;50;9\n"
	for _, c := range []struct {
		sentence, header string
		opt              feed.Options
		wantC            float64
		says             string
	}{
		{"name and unit", "Date Time, GMT+00:00;Temp, °C;RH, %;Batt\n", feed.Options{}, 5.5, ""},
		{"a unit after a wrong decoding", "Date Time, GMT+00:00;Temp, ?F;RH, %;Batt\n", feed.Options{}, -14.722, ""},
		{"a unit read twice in another encoding", "Date Time, GMT+00:00;Temp, Â°C;RH, %;Batt\n", feed.Options{}, 5.5, ""},
		{"the dew point isn't the temperature", "Date Time, GMT+00:00;Temp, °C;RH, %;DewPt, °C\n", feed.Options{}, 5.5, ""},
		{"no unit", "Date Time, GMT+00:00;Temp;RH, %;Batt\n", feed.Options{}, 0, "add unit: C or unit: F"},
		{"a declared unit", "Date Time, GMT+00:00;Temp;RH, %;Batt\n", feed.Options{Unit: "F"}, -14.722, ""},
		{"a unit against the header", "Date Time, GMT+00:00;Temp, °C;RH, %;Batt\n", feed.Options{Unit: "F"}, 0, "the header says"},
		{"two temperatures", "Date Time, GMT+00:00;Temp, °C;RH, %;Temp, °C\n", feed.Options{}, 0, "2 (Temp, °C), 4 (Temp, °C)"},
		{"two temperatures, one declared", "Date Time, GMT+00:00;Temp, °C;RH, %;Temp, °C\n", feed.Options{Columns: map[string]string{"temp": "4"}}, 9, ""},
		{"no temperature", "Date Time, GMT+00:00;Rain, mm;RH, %;Batt\n", feed.Options{}, 0, "no temperature: Date Time"},
		{"no clock", "Date Time;Temp, °C;RH, %;Batt\n", feed.Options{}, 0, "what clock"},
		{"a clock that follows summer time", "Date Time;Temp, °C;RH, %;Batt\n", feed.Options{Clock: "Europe/Oslo"}, 0, "repeats an hour"},
		{"no header", "", feed.Options{Unit: "C", Clock: "UTC"}, 0, "declare columns"},
		{"no header, declared", "", feed.Options{Unit: "C", Clock: "UTC", Columns: map[string]string{"time": "1", "temp": "2"}}, 5.5, ""},
		{"no header, no unit", "", feed.Options{Clock: "UTC", Columns: map[string]string{"time": "1", "temp": "2"}}, 0, "line 1: no unit"},
		{"a name nobody knows", "Date Time, GMT+00:00;Temp, °C;RH;B\n", feed.Options{Columns: map[string]string{"tmean": "2"}}, 0, "none of a logger's"},
		{"a name that isn't there", "Date Time, GMT+00:00;Temp, °C;RH;B\n", feed.Options{Columns: map[string]string{"temp": "Luft"}}, 0, "declare columns"},
	} {
		c.opt.ReadingsOnly = true
		if c.says != "" {
			refused(t, c.sentence, "logger", c.header+row, c.opt, c.says)
			continue
		}
		b := parse(t, "logger", []byte(c.header+row), c.opt)
		if len(b.Readings) != 1 || b.Readings[0].TempC != c.wantC {
			t.Errorf("%s: %+v", c.sentence, b.Readings)
		}
	}
	b := parse(t, "logger", []byte("Date Time, GMT+02:00;Temp, °C\n2031-05-01 00:00;5.5\n"), feed.Options{Clock: "UTC+01:00", ReadingsOnly: true})
	if b.Readings[0].At.Format(time.RFC3339) != "2031-04-30T23:00:00Z" || len(b.Notes) != 1 || !strings.Contains(b.Notes[0], "the declared clock UTC+01:00 is used") {
		t.Errorf("a header that is untrue: %+v", b)
	}
}

func TestDecimalMarksOfLoggers(t *testing.T) {
	for _, c := range []struct{ sentence, body, decimal, says string }{
		{"commas both between columns and in numbers", "\"Date Time, GMT+00:00\",Temp °C\n2031-05-01 00:00,18,771\n", "", "can't be told apart"},
		{"the same without a header", "2031-05-01 00:00,18,771\n2031-05-01 01:00,18,913\n", "", "no temperature has a decimal point"},
		{"whole degrees without a header", "2031-05-01 00:00,18\n", ".", ""},
		{"semicolons and decimal commas", "2031-05-01 00:00;18,771\n", "", ""},
		{"tabs and decimal commas", "2031-05-01 00:00\t18,771\n", "", ""},
		{"commas and decimal points", "2031-05-01 00:00,18.771\n", "", ""},
		{"a declared comma and points", "2031-05-01 00:00;18.771\n", ",", "decimal mark"},
	} {
		opt := feed.Options{Unit: "C", Clock: "UTC", Decimal: c.decimal, ReadingsOnly: true, Columns: map[string]string{"time": "1", "temp": "2"}}
		if strings.HasPrefix(c.body, `"Date`) {
			opt = feed.Options{ReadingsOnly: true}
		}
		if c.says != "" {
			refused(t, c.sentence, "logger", c.body, opt, c.says)
			continue
		}
		if b := parse(t, "logger", []byte(c.body), opt); len(b.Readings) != 1 || int(b.Readings[0].TempC) != 18 {
			t.Errorf("%s: %+v", c.sentence, b)
		}
	}
}

func TestALoggersIntervalMayChange(t *testing.T) {
	var b strings.Builder
	b.WriteString("Date Time, GMT+00:00;Temp, °C\n")
	at, _ := time.Parse(time.DateOnly, "2031-05-01")
	for _, part := range []struct {
		step time.Duration
		n    int
	}{{10 * time.Minute, 72}, {15 * time.Minute, 32}, {30 * time.Minute, 4}, {90 * time.Minute, 2}, {2 * time.Hour, 12}} {
		for range part.n {
			fmt.Fprintf(&b, "%s;5.0\n", at.Format(time.DateTime))
			at = at.Add(part.step)
		}
	}
	got := parse(t, "logger", []byte(b.String()), feed.Options{Zone: time.UTC})
	if len(got.Days) < 1 || got.Days[0].MeanC != 5 || len(got.Rejects) != 0 {
		t.Errorf("%+v", got)
	}
}
