package cli_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReadOnRealSamples checks that the command prints the figures counted
// from each sample by another program: rows, first and last day.
func TestReadOnRealSamples(t *testing.T) {
	root := os.Getenv("BUDCALL_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared")
	}
	if _, err := os.Stat(filepath.Join(root, "feeds")); err != nil {
		t.Skip("no real samples here: set BUDCALL_SHARED to the folder that holds feeds")
	}
	for _, row := range []struct {
		file        string
		args        []string
		rows        int
		first, last string // beginnings
		says        string
	}{
		{"dwd-cdc-kl/produkt_klima_tag_19630101_20210505_00430.txt", []string{"dwd-daily"}, 854, "1963-01-01,-13.8,-8.6,-12.4", "2021-05-04,5.7,15.5,10.4", "QN_4 10: 365, QN_4 3: 124, QN_4 5: 365"},
		{"dwd-cdc-kl/produkt_klima_tag_19861001_19870131_00429.txt", []string{"dwd-daily"}, 123, "1986-10-01,6,20.1,13.9", "1987-01-31,-13.1,-0.6,-5", "QN_4 10: 123"},
		{"eccc-daily/en_climate_daily_BC_1163781_2014_P1D.csv", []string{"eccc"}, 181, "2014-01-01", "2014-06-30", "0 missing values, 0 not taken"},
		{"ghcn-daily/cdo_text_export_FIE00142080_fahrenheit.txt", []string{"ghcn-cdo", "--unit", "F"}, 366, "1952-01-01", "1953-02-18", "122 missing values"},
		{"ghcn-daily/CA006105976.dly", []string{"ghcn-daily"}, 1278, "1889-11-01", "2013-12-31", "TMAX q=I: 1, TMIN q=I: 1, TMIN q=S: 4"},
		{"knmi-etmgeg/etmgeg_273.txt", []string{"knmi"}, 816, "1989-01-01,5.3,7.8,", "2026-06-25", "299 missing values"},
		{"logger-csv/comma_title_bom_gmt+02.csv", []string{"logger", "--readings"}, 48, "2021-04-08T21:00:00Z,18.771", "", "3 other records"},
		{"logger-csv/headerless_decimal_comma_-200_missing.csv", []string{"logger", "--readings", "--columns=time=2,temp=4", "--unit=C", "--zone=UTC", "--missing=-200"}, 50, "2021-06-15T00:00:00Z,16.875", "", ""},
		{"logger-csv/fahrenheit_gmt+00_bom.csv", []string{"logger", "--readings"}, 49, "2021-04-08T21:00:00Z,18.771", "2021-04-09T09:00:00Z,7.97", ""},
		{"logger-csv/headerless_sensor_error.csv", []string{"logger", "--readings", "--columns=time=2,temp=4,error=9", "--unit=C", "--zone=UTC"}, 49, "2022-02-24T04:30:00Z,1.1875", "2022-02-24T16:30:00Z,1.1875", ""},
		{"logger-csv/minimal_bom_no_zone.csv", []string{"logger", "--readings", "--zone=UTC+02:00"}, 49, "2021-04-08T21:00:00Z,18.771", "2021-04-09T09:00:00Z,7.97", ""},
		{"logger-csv/semicolon_decimal_comma_no_zone.csv", []string{"logger", "--readings", "--zone=UTC"}, 101, "2023-10-09T05:00:00Z,7.87", "2023-10-11T07:00:00Z,12.896", ""},
		{"logger-csv/us_12h_gmt+01.csv", []string{"logger", "--readings"}, 49, "2019-11-05T13:00:00Z,21.855", "2019-11-08T13:00:00Z,7.179", ""},
		{"dwd-mosmix/MOSMIX_L_2019021903_10637.kml", []string{"mosmix", "--readings"}, 247, "2019-02-19T04:00:00Z,0.2", "2019-03-01T10:00:00Z,5.8", ""},
		{"fmi-wfs/daily_simple_100946_2019-01.xml", []string{"fmi"}, 4, "2019-01-01,1.2,5,3.2", "2019-01-04,-7.4,2.7,1.3", "12 other records"},
		{"fmi-wfs/hourly_simple_100946_2019-01-01.xml", []string{"fmi", "--readings"}, 25, "2019-01-01T00:00:00Z", "2019-01-02T00:00:00Z", "announces 300 members and holds 100"},
		{"fmi-wfs/forecast_harmonie_multipoint_iisalmi.xml", []string{"fmi", "--readings"}, 12, "2022-09-19T09:20:00Z,12.3", "2022-09-19T11:10:00Z", ""}, // 1663579200 to 1663585800
		{"fmi-wfs/observation_multipoint_by_place.xml", []string{"fmi", "--readings"}, 2, "2025-07-15T14:50:00Z", "2025-07-15T15:00:00Z", ""},            // 1752591000 and 1752591600
		{"metno-locationforecast/compact_39.9_116.4.json", []string{"metno", "--readings"}, 82, "2020-07-20T11:00:00Z,30.4", "2020-07-29T06:00:00Z,37.6", ""},
		{"metno-locationforecast/complete_51.5_-0.1.json", []string{"metno", "--readings"}, 82, "2020-07-20T11:00:00Z,18.8", "2020-07-29T06:00:00Z,17.4", ""},
		{"open-meteo/archive_bergen_mean_fahrenheit.json", []string{"open-meteo"}, 3, "2025-01-15,,,", "2025-01-17,,,", ""},
		{"open-meteo/archive_oslo_maxmin.json", []string{"open-meteo"}, 3, "2025-01-15", "2025-01-17", ""},
		{"open-meteo/archive_oslo_mean.json", []string{"open-meteo"}, 3, "2025-01-15,,,", "2025-01-17,,,", ""},
		{"open-meteo/forecast_newyork_2026-02-06.json", []string{"open-meteo"}, 7, "2026-02-06", "2026-02-12", ""},
		{"smhi-forecast/snow1g_v1_norrkoping_2026-04-02.json", []string{"smhi-forecast", "--readings"}, 83, "2026-04-02T11:00:00Z,10.4", "2026-04-12T12:00:00Z,8.3", ""},
		{"smhi-metobs/param2_71420_corrected-archive.csv", []string{"smhi-metobs"}, 203, "1961-01-01", "2019-01-31", "quality Y: 203"},
		{"ghcn-daily/USC00411885.dly", []string{"ghcn-daily"}, 790, "", "", "127 missing values"},
	} {
		status, out, said := read(t, "", append(row.args, filepath.Join(root, "feeds", filepath.FromSlash(row.file)))...)
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if status != 0 || len(lines) != row.rows+1 || !strings.HasPrefix(lines[1], row.first) || !strings.HasPrefix(lines[len(lines)-1], row.last) || !strings.Contains(said, row.says) {
			t.Errorf("%s: status %d, %d rows, %q to %q, said:\n%s", row.file, status, len(lines)-1, lines[min(1, len(lines)-1)], lines[len(lines)-1], said)
		}
	}
}
