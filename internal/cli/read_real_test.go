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
	} {
		status, out, said := read(t, "", append(row.args, filepath.Join(root, "feeds", filepath.FromSlash(row.file)))...)
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if status != 0 || len(lines) != row.rows+1 || !strings.HasPrefix(lines[1], row.first) || !strings.HasPrefix(lines[len(lines)-1], row.last) || !strings.Contains(said, row.says) {
			t.Errorf("%s: status %d, %d rows, %q to %q, said:\n%s", row.file, status, len(lines)-1, lines[min(1, len(lines)-1)], lines[len(lines)-1], said)
		}
	}
}
