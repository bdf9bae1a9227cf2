package feed_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

// The figures of the real samples, each counted from the file by another
// program; the name of a test is the name of the sample.

func sumIs(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-6 {
		t.Errorf("%s: the sum is %v, want %v", what, got, want)
	}
}

func flagsAre(t *testing.T, got, want map[string]int) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("flags %v, want %v", got, want)
	}
	for code, n := range want {
		if got[code] != n {
			t.Errorf("flag %s %d times, want %d", code, got[code], n)
		}
	}
}

func spanIs(t *testing.T, b feed.Batch, days int, first, last string) {
	t.Helper()
	if len(b.Days) != days || b.Days[0].Date.String() != first || b.Days[len(b.Days)-1].Date.String() != last {
		t.Errorf("%d days from %s to %s, want %d from %s to %s", len(b.Days), b.Days[0].Date, b.Days[len(b.Days)-1].Date, days, first, last)
	}
}

// breaks counts how often the next day isn't the next date.
func breaks(days []weather.Day) (n int) {
	for i := 1; i < len(days); i++ {
		if days[i].Date != days[i-1].Date+1 {
			n++
		}
	}
	return n
}

func TestExpected_dwd_cdc_kl_00430(t *testing.T) {
	b := parse(t, "dwd-daily", real(t, "feeds/dwd-cdc-kl/produkt_klima_tag_19630101_20210505_00430.txt"), feed.Options{})
	spanIs(t, b, 854, "1963-01-01", "2021-05-04")
	_, sum := sums(b.Days)
	sumIs(t, "TMK", sum[2], 7000.8)
	flagsAre(t, b.Flags, map[string]int{"QN_4 5": 365, "QN_4 10": 365, "QN_4 3": 124})
	sameDays(t, "first and last", []weather.Day{b.Days[0], b.Days[853]}, []weather.Day{day("1963-01-01", -13.8, -8.6, -12.4), day("2021-05-04", 5.7, 15.5, 10.4)})
	if b.Station != "430" || breaks(b.Days) != 2 || b.MissingValues != 0 || len(b.Rejects) != 0 {
		t.Errorf("station %s, %d breaks, %d missing, %v", b.Station, breaks(b.Days), b.MissingValues, b.Rejects)
	}
}

func TestExpected_dwd_cdc_kl_00429(t *testing.T) {
	b := parse(t, "dwd-daily", real(t, "feeds/dwd-cdc-kl/produkt_klima_tag_19861001_19870131_00429.txt"), feed.Options{})
	spanIs(t, b, 123, "1986-10-01", "1987-01-31")
	_, sum := sums(b.Days)
	sumIs(t, "TMK", sum[2], 324.9)
	flagsAre(t, b.Flags, map[string]int{"QN_4 10": 123})
	sameDays(t, "first and last", []weather.Day{b.Days[0], b.Days[122]}, []weather.Day{day("1986-10-01", 6, 20.1, 13.9), day("1987-01-31", -13.1, -0.6, -5)})
	if b.Station != "429" || breaks(b.Days) != 0 || b.MissingValues != 0 || len(b.Rejects) != 0 {
		t.Errorf("station %s, %d breaks, %d missing, %v", b.Station, breaks(b.Days), b.MissingValues, b.Rejects)
	}
}

func TestTheRealStationListOfDWD(t *testing.T) {
	b := parse(t, "dwd-stations", real(t, "feeds/dwd-cdc-kl/KL_Tageswerte_Beschreibung_Stationen.txt"), feed.Options{})
	if len(b.Stations) != 60 || len(b.Rejects) != 0 { // two header lines and 60 stations, by the sample's own note
		t.Fatalf("%d stations, %v", len(b.Stations), b.Rejects)
	}
	s := b.Stations[2]
	if s.ID != "00011" || s.Name != "Donaueschingen (Landeplatz)" || s.Region != "Baden-Württemberg" || s.Place.AltitudeM != 680 || s.First.String() != "1980-09-01" {
		t.Errorf("%+v", s)
	}
}

func TestExpected_eccc_daily(t *testing.T) {
	b := parse(t, "eccc", real(t, "feeds/eccc-daily/en_climate_daily_BC_1163781_2014_P1D.csv"), feed.Options{})
	spanIs(t, b, 181, "2014-01-01", "2014-06-30")
	count, sum := sums(b.Days)
	sumIs(t, "means", sum[2], 1229.6)
	if count != [3]int{181, 181, 181} || b.Station != "1163781" || b.MeanOf != feed.MeanMidRange || len(b.Rejects) != 0 {
		t.Errorf("%v, %s, %v", count, b.Station, b.Rejects)
	}
}

func TestExpected_ghcn_daily_cdo_text(t *testing.T) {
	b := parse(t, "ghcn-cdo", real(t, "feeds/ghcn-daily/cdo_text_export_FIE00142080_fahrenheit.txt"), feed.Options{Unit: "F"})
	spanIs(t, b, 366, "1952-01-01", "1953-02-18")
	count, _ := sums(b.Days)
	if count != [3]int{366 - 65, 366 - 57, 366} || b.MissingValues != 57+65 || b.Station != "FIE00142080" || len(b.Rejects) != 0 {
		t.Errorf("%v, %d missing, %s, %v", count, b.MissingValues, b.Station, b.Rejects)
	}
	if b.Days[0].MeanC != 2.78 { // 37 °F
		t.Error(b.Days[0])
	}
}

func TestTheRealByYearLines(t *testing.T) {
	// Header and 120 lines: 59 good and one flagged of each element, counted
	// with cut and uniq.
	b := parse(t, "ghcn-csv", real(t, "feeds/ghcn-daily/by_year_joined_1763-1764.csv"), feed.Options{})
	spanIs(t, b, 60, "1763-01-01", "1763-03-01")
	count, _ := sums(b.Days)
	flagsAre(t, b.Flags, map[string]int{"TMAX q=I": 1, "TMIN q=I": 1})
	if count != [3]int{59, 59, 0} || len(b.Rejects) != 2 || b.Station != "ITE00100554" {
		t.Errorf("%v, %v", count, b.Rejects)
	}
}

func TestExpected_knmi_etmgeg_273(t *testing.T) {
	b := parse(t, "knmi", real(t, "feeds/knmi-etmgeg/etmgeg_273.txt"), feed.Options{})
	spanIs(t, b, 816, "1989-01-01", "2026-06-25")
	count, sum := sums(b.Days)
	if count != [3]int{816, 816, 816 - 299} || b.MissingValues != 299 || b.Station != "273" || len(b.Rejects) != 0 {
		t.Errorf("%v, %d missing, %s, %v", count, b.MissingValues, b.Station, b.Rejects)
	}
	sumIs(t, "TG", sum[2]*10, 55139)
	sumIs(t, "TN", sum[0]*10, 53288)
	sumIs(t, "TX", sum[1]*10, 123605)
}

func TestTheMeteoSwissLines(t *testing.T) {
	b := parse(t, "meteoswiss", real(t, "feeds/meteoswiss/UNVERIFIED_ogd-smn_aig_d_recent_2rows.csv"), feed.Options{})
	sameDays(t, "read off the file", b.Days, []weather.Day{day("2026-01-01", -6, 1.8, -3.1), day("2026-01-02", -5.6, 4.8, 0.5)})
	if b.Winds[0].GustMS != 4.3 || b.Winds[0].MeanMS != 0.9 {
		t.Errorf("%+v", b.Winds)
	}
}

func TestExpected_logger_csv(t *testing.T) {
	soil := map[string]string{"time": "2", "temp": "4", "error": "9"}
	for _, row := range []struct {
		file                     string
		opt                      feed.Options
		lines, above             int // all lines, and those of them above the first reading
		bom                      bool
		first, last              string // moments in UTC
		firstC, lastC            float64
		readings, events, reject int
	}{
		// The first data line is that of the counts; the last read off the file.
		{"comma_title_bom_gmt+02.csv", feed.Options{}, 53, 2, true, "2021-04-08T21:00:00Z", "2021-04-09T08:45:00Z", 18.771, 8.668, 48, 3, 0},
		{"fahrenheit_gmt+00_bom.csv", feed.Options{}, 53, 1, true, "2021-04-08T21:00:00Z", "2021-04-09T09:00:00Z", 18.771, 7.97, 49, 3, 0},
		{"headerless_decimal_comma_-200_missing.csv", feed.Options{Columns: soil, Unit: "C", Clock: "UTC"}, 50, 0, false, "2021-06-15T00:00:00Z", "2021-06-15T12:15:00Z", 16.875, 28.5, 50, 0, 0},
		{"headerless_sensor_error.csv", feed.Options{Columns: soil, Unit: "C", Clock: "UTC"}, 49, 0, false, "2022-02-24T04:30:00Z", "2022-02-24T16:30:00Z", 1.1875, 1.1875, 49, 0, 0},
		{"minimal_bom_no_zone.csv", feed.Options{Clock: "UTC+02:00"}, 50, 1, true, "2021-04-08T21:00:00Z", "2021-04-09T09:00:00Z", 18.771, 7.97, 49, 0, 0},
		{"semicolon_decimal_comma_no_zone.csv", feed.Options{Clock: "UTC"}, 104, 1, true, "2023-10-09T05:00:00Z", "2023-10-11T07:00:00Z", 7.87, 12.896, 101, 2, 0},
		{"us_12h_gmt+01.csv", feed.Options{}, 51, 2, true, "2019-11-05T13:00:00Z", "2019-11-08T13:00:00Z", 21.855, 7.179, 49, 0, 0},
	} {
		body := real(t, "feeds/logger-csv/"+row.file)
		row.opt.ReadingsOnly = true
		b := parse(t, "logger", body, row.opt)
		if n := bytes.Count(body, []byte("\n")); n != row.lines || bytes.HasPrefix(body, []byte("\xef\xbb\xbf")) != row.bom || bytes.Contains(body, []byte("\r")) {
			t.Errorf("%s: %d lines", row.file, n)
		}
		first, last := b.Readings[0], b.Readings[len(b.Readings)-1]
		if first.At.Format("2006-01-02T15:04:05Z07:00") != row.first || last.At.Format("2006-01-02T15:04:05Z07:00") != row.last || math.Abs(first.TempC-row.firstC) > 1e-9 || math.Abs(last.TempC-row.lastC) > 6e-4 {
			t.Errorf("%s: %+v to %+v", row.file, first, last)
		}
		if len(b.Readings) != row.readings || b.OtherRecords != row.events || len(b.Rejects) != row.reject || row.above+row.readings+row.events+row.reject != row.lines {
			t.Errorf("%s: %d readings, %d events, %v", row.file, len(b.Readings), b.OtherRecords, b.Rejects)
		}
	}
	damaged := map[string]string{"time": "2", "temp": "5", "error": "9"}
	b := parse(t, "logger", real(t, "feeds/logger-csv/headerless_sensor_error.csv"), feed.Options{Columns: damaged, Unit: "C", Clock: "UTC", ReadingsOnly: true})
	for _, r := range b.Rejects {
		if !strings.HasPrefix(r.Reason, "-100 is no temperature: the row states sensor error ") {
			t.Errorf("%s", r)
		}
	}
	if len(b.Rejects) == 0 || len(b.Readings)+len(b.Rejects) != 49 {
		t.Errorf("%d readings, %d rejects", len(b.Readings), len(b.Rejects))
	}
	none := map[string]string{"time": "2", "temp": "5"}
	refused(t, "a sensor that isn't there", "logger", string(real(t, "feeds/logger-csv/headerless_decimal_comma_-200_missing.csv")),
		feed.Options{Columns: none, Unit: "C", Clock: "UTC"}, "-200 is no temperature but a code")
}
