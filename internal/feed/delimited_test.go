package feed_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestThePlainHeaderNeedsNoDeclaration(t *testing.T) {
	b := parse(t, "delimited", sample(t, "delimited/plain.csv"), feed.Options{Station: "KUU"})
	sameDays(t, "plain", b.Days, []weather.Day{
		day("2031-05-01", 1.2, 9.8, 5.1), day("2031-05-02", none, none, none),
		day("2031-05-03", -0.4, 12, 6), day("2031-05-05", 2.5, 14.5, none)})
	sameRejects(t, b.Rejects, map[int]string{5: `tmax "x" is no number`})
	if b.Station != "KUU" || b.MissingValues != 4 || b.Window.Stated() || b.Credit != "" {
		t.Errorf("%+v", b)
	}
	crlf := strings.ReplaceAll(string(sample(t, "delimited/plain.csv")), "\n", "\r\n")
	again := parse(t, "delimited", []byte("\xef\xbb\xbf"+strings.ReplaceAll(crlf, ",", ";")), feed.Options{})
	sameDays(t, "BOM, CRLF and semicolons change nothing", again.Days, b.Days)
}

func TestADeclaredLoggerFile(t *testing.T) {
	opt := feed.Options{Separator: ";", Decimal: ",", DateLayout: "DD.MM.YYYY", Missing: []string{"-200"},
		Columns: map[string]string{"date": "päivä", "tmin": "Yö (°C)", "tmax": "3"},
		Window:  feed.Window{StartHour: 0, EndHour: 24, Zone: "UTC+02:00", Label: feed.LabelStart}}
	body := sample(t, "delimited/logger_day.csv")
	b := parse(t, "delimited", body, opt)
	sameDays(t, "logger", b.Days, []weather.Day{
		day("2031-05-01", 1.2, 9.8, none), day("2031-05-02", none, none, none),
		day("2031-05-03", -0.4, 12, none), marked(day("2031-05-04", 3, 11, none), weather.Conflict)})
	sameRejects(t, b.Rejects, map[int]string{6: "repeats line 5: kept once", 8: "says otherwise than line 7"})
	if b.Window != opt.Window || b.MissingValues != 2 {
		t.Errorf("%+v", b)
	}

	opt.Columns = map[string]string{"date": "1", "tmin": "2", "tmax": "3"}
	sameDays(t, "by numbers the header still states the unit", parse(t, "delimited", body, opt).Days, b.Days)
	opt.Separator = ""
	sameDays(t, "the separator is the header's", parse(t, "delimited", body, opt).Days, b.Days)
	opt.Unit = "F"
	refused(t, "a unit against the header", "delimited", string(body), opt, "line 3", `the header says "Yö (°C)"`)
}

func TestFahrenheitThatIsStatedIsConverted(t *testing.T) {
	b := parse(t, "delimited", sample(t, "delimited/fahrenheit_latin1.txt"), feed.Options{
		DateLayout: "MM/DD/YYYY", Columns: map[string]string{"date": "Day", "tmin": "low °f", "tmax": "High °F"}})
	// 50 °F = 10 °C, 32 °F = 0 °C, 59 °F = 15 °C, 41 °F = 5 °C (by definition)
	sameDays(t, "fahrenheit", b.Days, []weather.Day{day("2031-05-01", 0, 10, none), day("2031-05-02", 5, 15, none)})
	plain := parse(t, "delimited", []byte("date,tmean_f\n2031-05-01,50\n"), feed.Options{})
	sameDays(t, "in the plain header", plain.Days, []weather.Day{day("2031-05-01", none, none, 10)})
	utf16 := []byte{0xff, 0xfe}
	for _, r := range "date;tmean_f\r\n2031-05-01;50\r\n" {
		utf16 = append(utf16, byte(r), 0)
	}
	sameDays(t, "in UTF-16 with a mark", parse(t, "delimited", utf16, feed.Options{}).Days, plain.Days)
}

func TestAFileWithoutHeader(t *testing.T) {
	opt := feed.Options{DateLayout: "YYYYMMDD", Unit: "C", Missing: []string{"-999.0"}, Columns: map[string]string{"date": "2", "tmean": "3"}}
	b := parse(t, "delimited", sample(t, "delimited/headerless.csv"), opt)
	sameDays(t, "headerless", b.Days, []weather.Day{
		day("2031-05-01", none, none, 4.5), day("2031-05-02", none, none, 5), day("2031-05-04", none, none, none)})
	sameRejects(t, b.Rejects, map[int]string{3: `"2031050" is no date YYYYMMDD`})

	damagedFirst := "1;2031050;4.5\n" + "2;20310502;5.0\n"
	b = parse(t, "delimited", []byte(damagedFirst), opt)
	sameRejects(t, b.Rejects, map[int]string{1: "a reading without a date"}) // no title: it would be dropped silently
}

func TestRowsThatCanNotBeRead(t *testing.T) {
	const header = "date,tmin_c,tmax_c,note\n2031-05-01,1,2,\n"
	for row, reason := range map[string]string{
		"2031-05-02,1":                       "has 2 fields, tmax is number 3",
		"2031-02-30,1,2,":                    "is no date",
		"2031-05-02 00:00,1,2,":              "is no date",
		`2031-05-02,"1",2,"a`:                "quote is left open",
		`2031-05-02,"1"x,2,`:                 "quote",
		"2031-05-02,1e1,2,":                  "is no number",
		"2031-05-02,NaN,2,":                  "declare it in missing",
		"2031-05-02,0x1p4,2,":                "is no number",
		"2031-05-02,1.2.3,2,":                "is no number",
		`2031-05-02,"1,5",2,`:                "decimal comma",
		"2031-05-02,\u22121.0,2,":            "is no number",
		"date,tmin_c,tmax_c,note":            "stands here again",
		"# remark":                           "has 1 fields",
		"2031-05-02,1\x00,2,":                "is no number",
		"2031-05-02,1-,2,":                   "is no number",
		"0000-05-02,1,2,":                    "is no date",
		"2031-05-02,99999999999999999999,2,": "is no number",
	} {
		b := parse(t, "delimited", []byte(header+row+"\n"), feed.Options{})
		if len(b.Days) != 1 {
			t.Errorf("%q was read: %v", row, b.Days)
		}
		sameRejects(t, b.Rejects, map[int]string{3: reason})
	}
	quoted := parse(t, "delimited", []byte(header+`"2031-05-02", "+1.5" ,"2","a ""note"", with comma"`), feed.Options{})
	sameDays(t, "quotes", quoted.Days, []weather.Day{day("2031-05-01", 1, 2, none), day("2031-05-02", 1.5, 2, none)})
}

func TestSettingsThatDoNotFitAreRefusedWithACure(t *testing.T) {
	const file = "Title\nDay;Air;Air\n2031-05-01;4.5;5.5\n"
	columns := func(pairs ...string) map[string]string {
		m := map[string]string{}
		for i := 0; i < len(pairs); i += 2 {
			m[pairs[i]] = pairs[i+1]
		}
		return m
	}
	for _, row := range []struct {
		sentence string
		opt      feed.Options
		says     string
	}{
		{"no columns and no plain header", feed.Options{Unit: "C"}, `declare columns`},
		{"no unit anywhere", feed.Options{Columns: columns("date", "Day", "tmean", "2")}, "add unit: C or unit: F"},
		{"a name that stands twice", feed.Options{Unit: "C", Columns: columns("date", "Day", "tmean", "Air")}, "declare columns.tmean by its number"},
		{"a name that stands nowhere", feed.Options{Unit: "C", Columns: columns("date", "Day", "tmean", "Temp")}, `"Temp"`},
		{"a column nobody knows", feed.Options{Unit: "C", Columns: columns("date", "Day", "tavg", "2")}, "columns.tavg"},
		{"a minimum alone", feed.Options{Unit: "C", Columns: columns("date", "Day", "tmin", "2")}, "tmin with tmax"},
		{"no date", feed.Options{Unit: "C", Columns: columns("tmean", "2")}, "declare date"},
		{"a column before the first", feed.Options{Unit: "C", Columns: columns("date", "0", "tmean", "2")}, "count the columns from 1"},
		{"a unit nobody uses", feed.Options{Unit: "K"}, "write C or F"},
		{"a separator that is none", feed.Options{Separator: "|"}, "write"},
		{"a decimal that is none", feed.Options{Decimal: "'"}, "write"},
		{"comma for both", feed.Options{Decimal: ",", Separator: ","}, "another separator"},
		{"an order of dates that is none", feed.Options{DateLayout: "D.M.YY"}, "YYYY-MM-DD, DD.MM.YYYY"},
		{"another order of dates than the file's", feed.Options{Unit: "C", DateLayout: "DD.MM.YYYY", Columns: columns("date", "Day", "tmean", "2")}, "nothing in this file could be read; first"},
		{"by numbers, another order of dates", feed.Options{Unit: "C", DateLayout: "DD.MM.YYYY", Columns: columns("date", "1", "tmean", "2")}, "none of the first 100 lines holds a date DD.MM.YYYY in column 1"},
	} {
		refused(t, row.sentence, "delimited", file, row.opt, row.says)
	}
	refused(t, "the plain header without units", "delimited", "date,tmin,tmax\n2031-05-01,1,2\n", feed.Options{}, "line 1", "no unit is stated for tmin")
	refused(t, "a column twice", "delimited", "date,tmean_c,tmean_f\n2031-05-01,1,2\n", feed.Options{}, "more than once")
	withUnit := parse(t, "delimited", []byte("date,tmin,tmax\n2031-05-01,1,2\n"), feed.Options{Unit: "C"})
	sameDays(t, "with it", withUnit.Days, []weather.Day{day("2031-05-01", 1, 2, none)})
}

func TestUnitsThatHeadersState(t *testing.T) {
	for header, want := range map[string]float64{ // of the value 50
		"t °C": 50, "T(°C) c:1": 50, "t [C]": 50, "Temp, °C": 50, "air_c": 50, "Temperature degC": 50, "Celsius": 50,
		"t °F": 10, "Temp (F)": 10, "air_f": 10, "deg F": 10, "Fahrenheit": 10,
	} {
		body := fmt.Sprintf("day;%s\n2031-05-01;50\n", header)
		b := parse(t, "delimited", []byte(body), feed.Options{Columns: map[string]string{"date": "day", "tmean": "2"}})
		sameDays(t, header, b.Days, []weather.Day{day("2031-05-01", none, none, want)})
	}
	for _, header := range []string{"t", "degree count", "factor", "°", "tc", "t °Fine"} {
		body := fmt.Sprintf("day;%s\n2031-05-01;50\n", header)
		refused(t, header, "delimited", body, feed.Options{Columns: map[string]string{"date": "day", "tmean": "2"}}, "no unit")
	}
}

func TestManyRejectsAreCountedNotKept(t *testing.T) {
	body := "date,tmean_c\n2031-05-01,1\n" + strings.Repeat("x,y\n", feed.MaxRejects+7)
	b := parse(t, "delimited", []byte(body), feed.Options{})
	if len(b.Rejects) != feed.MaxRejects || b.MoreRejects != 7 || len(b.Days) != 1 {
		t.Errorf("%d rejects and %d more", len(b.Rejects), b.MoreRejects)
	}
}

// TestEveryRowIsADayOrAReject is the promise that nothing is dropped.
func TestEveryRowIsADayOrAReject(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		word := rapid.SampledFrom([]string{"2031-05-01", "2031-05-02", "2031-05-03", "1.5", "-3", "", "x", `"`, ",", "°"})
		rows := rapid.SliceOfN(rapid.Map(rapid.SliceOfN(word, 2, 4), func(w []string) string { return strings.Join(w, ",") }), 1, 30).Draw(r, "rows")
		body := "date,tmin_c,tmax_c\n2030-01-01,1,2\n" + strings.Join(rows, "\n") + "\n"
		b, err := feed.Parse("delimited", strings.NewReader(body), feed.Options{})
		if err != nil {
			r.Fatal(err)
		}
		blank := 0
		for _, row := range rows {
			if strings.TrimSpace(row) == "" {
				blank++
			}
		}
		if got := len(b.Days) + len(b.Rejects) + b.MoreRejects; got != 1+len(rows)-blank {
			r.Fatalf("%d days and rejects of %d rows", got, 1+len(rows)-blank)
		}
	})
}

func TestRealDailySeries(t *testing.T) {
	// Days from the number of lines, values computed from the file by another
	// program: 23716 days, 3933 empty fields.
	b := parse(t, "delimited", real(t, "data/daily_helsinki_vantaa_1952-2017.csv"), feed.Options{})
	if len(b.Days) != 23716 || b.MissingValues != 3933 || len(b.Rejects) != 0 {
		t.Errorf("%d days, %d missing, %d rejects", len(b.Days), b.MissingValues, len(b.Rejects))
	}
	judged, suspicion := weather.JudgeAll(b.Days)
	outside := slices.DeleteFunc(judged, func(d weather.Day) bool { return d.Mark == weather.Usable })
	if suspicion != "" || len(outside) != 1 || outside[0].Mark != weather.MeanOutside {
		t.Errorf("%q, marked: %v", suspicion, outside)
	}
}

func TestARealExportInFahrenheitWithoutUnit(t *testing.T) {
	// The published export of the same station in °F (37 is 2.8 °C), declared
	// in °C by mistake: every day is marked, none is used.
	var body strings.Builder
	body.WriteString("date,tmin_c,tmax_c\n")
	for _, line := range strings.Split(string(real(t, "feeds/ghcn-daily/cdo_text_export_FIE00142080_fahrenheit.txt")), "\n") {
		if f := strings.Fields(line); len(f) == 9 && strings.HasPrefix(f[0], "GHCND:") && f[7] != "-9999" && f[8] != "-9999" {
			fmt.Fprintf(&body, "%s-%s-%s,%s,%s\n", f[4][:4], f[4][4:6], f[4][6:], f[8], f[7])
		}
	}
	b := parse(t, "delimited", []byte(body.String()), feed.Options{})
	judged, suspicion := weather.JudgeAll(b.Days)
	if len(judged) < 260 || !strings.Contains(suspicion, "Fahrenheit") {
		t.Errorf("%d days: %q", len(judged), suspicion)
	}
	for _, d := range judged {
		if mean, _, ok := d.Mean(); ok || !math.IsNaN(mean) {
			t.Fatalf("%s is used", d.Date)
		}
	}
}
