package feed_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

func TestAnInventedDlyFile(t *testing.T) {
	b := parse(t, "ghcn-daily", sample(t, "ghcn-daily/invented.dly"), feed.Options{})
	if b.Station != "ZZX00000001" || len(b.Days) != 61 || b.OtherRecords != 1 || b.MissingValues != 1 || !strings.Contains(b.Credit, "GHCN-Daily") {
		t.Errorf("%s: %d days, %d other records, %d missing", b.Station, len(b.Days), b.OtherRecords, b.MissingValues)
	}
	sameDays(t, "the first", b.Days[:1], []weather.Day{day("2031-04-01", -2, 7, none)})
	sameDays(t, "a missing minimum", b.Days[4:5], []weather.Day{day("2031-04-05", none, 8.2, none)})
	sameDays(t, "a flagged minimum is not used, its maximum is", b.Days[9:10], []weather.Day{day("2031-04-10", none, 9.7, none)})
	sameDays(t, "the last", b.Days[60:], []weather.Day{day("2031-05-31", 5, 15, none)})
	sameRejects(t, b.Rejects, map[int]string{2: "quality check (flag I)"})
	if b.Rejects[0].Text != "2031-04-10 TMIN -301 IZ" {
		t.Errorf("%q", b.Rejects[0].Text)
	}
	cr := bytes.ReplaceAll(sample(t, "ghcn-daily/invented.dly"), []byte("\n"), []byte("\r\n"))
	sameDays(t, "with CRLF", parse(t, "ghcn-daily", cr, feed.Options{}).Days, b.Days)
	sameDays(t, "without a last line end", parse(t, "ghcn-daily", bytes.TrimSuffix(cr, []byte("\r\n")), feed.Options{}).Days, b.Days)
}

func TestADamagedDlyFile(t *testing.T) {
	b := parse(t, "ghcn-daily", sample(t, "ghcn-daily/damaged.dly"), feed.Options{})
	sameRejects(t, b.Rejects, map[int]string{
		2:  "repeats line 1: 30 equal values kept once",
		3:  "quality check (flag I)",
		4:  "has 120 characters",
		5:  "has 7 characters",
		6:  "the month has 30 days",
		8:  "", // 3 May says otherwise, the other 30 values repeat
		9:  "no whole number",
		10: "no year and month",
	})
	byDate := map[civil.Date]weather.Day{}
	for _, d := range b.Days {
		byDate[d.Date] = d
	}
	third := byDate[civil.MustParse("2031-05-03")]
	if third.Mark != weather.Conflict || third.MinC != 2.2 {
		t.Errorf("3 May: %+v", third)
	}
	if d := byDate[civil.MustParse("2031-05-04")]; d.Mark != weather.Usable || d.MinC != 2.3 {
		t.Errorf("4 May: %+v", d)
	}
	if d := byDate[civil.MustParse("2031-05-13")]; !math.IsNaN(d.MaxC) || d.MinC != 3.2 {
		t.Errorf("13 May, whose maximum is garbled: %+v", d)
	}
	if d := byDate[civil.MustParse("2031-04-30")]; d.MeanC != 5 {
		t.Errorf("30 April: %+v", d)
	}
}

func TestStationsInADlyFile(t *testing.T) {
	two := string(sample(t, "ghcn-daily/two_stations.dly"))
	refused(t, "which of two", "ghcn-daily", two, feed.Options{}, "ZZX00000001, ZZX00000002", "name one as station")
	refused(t, "neither", "ghcn-daily", two, feed.Options{Station: "ZZX00000003"}, "no record is of station ZZX00000003")
	b := parse(t, "ghcn-daily", []byte(two), feed.Options{Station: "ZZX00000002"})
	if b.Station != "ZZX00000002" || len(b.Days) != 30 || b.OtherRecords != 2 {
		t.Errorf("%s: %d days, %d other", b.Station, len(b.Days), b.OtherRecords)
	}
	onlyRain := strings.Split(string(sample(t, "ghcn-daily/invented.dly")), "\n")[2] + "\n"
	refused(t, "no temperature", "ghcn-daily", onlyRain, feed.Options{}, "no temperature but PRCP (precipitation)")
	refused(t, "another format", "ghcn-daily", "date,tmin_c\n2031-05-01,1\n", feed.Options{}, "line 1", "has 11 characters")
}

func TestValuesOfFiveCharacters(t *testing.T) {
	record := func(value string) []byte {
		return []byte("ZZX00000001203105TMAX" + value + "  Z" + strings.Repeat("-9999   ", 30) + "\n" +
			"ZZX00000001203105TAVG" + strings.Repeat("   10  Z", 31) + "\n")
	}
	for text, want := range map[string]float64{"    0": 0, "   -1": -0.1, "  123": 12.3, "-1234": -123.4, "99999": 9999.9, "00012": 1.2, "-0012": -1.2} {
		b := parse(t, "ghcn-daily", record(text), feed.Options{})
		if b.Days[0].MaxC != want || len(b.Rejects) != 0 {
			t.Errorf("%q: %v, %v", text, b.Days[0].MaxC, b.Rejects)
		}
	}
	for _, text := range []string{"     ", "    -", " 1 2 ", "12   ", "--123", "1-234", "+  12", " 12.3", "abcde", "1234\xff"} {
		b := parse(t, "ghcn-daily", record(text), feed.Options{})
		if !math.IsNaN(b.Days[0].MaxC) || len(b.Rejects) != 1 || b.Days[0].MeanC != 1 {
			t.Errorf("%q: %v, %v", text, b.Days[0], b.Rejects)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		v := rapid.IntRange(-9998, 99999).Draw(r, "tenths")
		b, err := feed.Parse("ghcn-daily", bytes.NewReader(record(fmt.Sprintf("%5d", v))), feed.Options{})
		if err != nil || b.Days[0].MaxC != float64(v)/10 {
			r.Fatalf("%d: %v %v", v, b.Days, err)
		}
	})
}

func TestRealDlyFiles(t *testing.T) {
	// Counts and sums worked out by another program from the same files; they
	// include the values that the provider has flagged.
	for _, row := range []struct {
		file                     string
		records                  int
		maxCount, minCount       int
		maxTenths, minTenths     float64
		missing, flagged, others int
		firstFlagged             string
	}{
		{"CA006105976.dly", 80, 1187, 1246, 127049, 14665, 2, 6, 0, "1916-04-22 TMIN -128 SC"},
		{"USC00411885.dly", 159, 727, 726, 176283, 92557, 127, 7, 107, "1912-08-01 TMIN 278 I6"},
	} {
		body := real(t, "feeds/ghcn-daily/"+row.file)
		b := parse(t, "ghcn-daily", body, feed.Options{})
		count, sum := sums(b.Days)
		for _, r := range b.Rejects { // a flagged value is told, not used: count it back
			var date, element string
			var tenths float64
			fmt.Sscan(r.Text, &date, &element, &tenths)
			i := map[string]int{"TMIN": 0, "TMAX": 1}[element]
			count[i]++
			sum[i] += tenths / 10
		}
		if count[0] != row.minCount || count[1] != row.maxCount || count[2] != 0 || b.MissingValues != row.missing || len(b.Rejects) != row.flagged {
			t.Errorf("%s: %v values, %d missing, %d flagged", row.file, count, b.MissingValues, len(b.Rejects))
		}
		if math.Abs(sum[0]*10-row.minTenths) > 1e-6 || math.Abs(sum[1]*10-row.maxTenths) > 1e-6 {
			t.Errorf("%s: sums %v", row.file, sum)
		}
		if b.OtherRecords != row.others || bytes.Count(body, []byte("\n")) != row.records || b.Station+".dly" != row.file || b.Rejects[0].Text != row.firstFlagged {
			t.Errorf("%s: %d other records, station %s, %q", row.file, b.OtherRecords, b.Station, b.Rejects[0].Text)
		}
	}
}

func BenchmarkGHCNDaily(b *testing.B) {
	measure := func(body []byte) func(*testing.B) {
		return func(b *testing.B) {
			b.SetBytes(int64(len(body)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := feed.Parse("ghcn-daily", bytes.NewReader(body), feed.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
	two := bytes.ReplaceAll(sample(b, "ghcn-daily/invented.dly"), []byte(" IZ"), []byte("  Z"))
	var years []byte
	for y := range 60 {
		years = append(years, bytes.ReplaceAll(two, []byte("ZZX000000012031"), fmt.Appendf(nil, "ZZX00000001%d", 1971+y))...)
	}
	b.Run("temperatures mostly", measure(years))
	b.Run("a real station", func(b *testing.B) { measure(real(b, "feeds/ghcn-daily/USC00411885.dly"))(b) })
}
