package cli_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/cli"
)

// read runs budcall read with the arguments; FEEDS/ in them is the folder of
// our own invented files.
func read(t *testing.T, stdin string, args ...string) (status int, out, said string) {
	t.Helper()
	for i, a := range args {
		args[i] = strings.Replace(a, "FEEDS/", "../../testdata/feeds/", 1)
	}
	var o, e bytes.Buffer
	status = cli.RunRead(context.Background(), args, cli.Streams{In: strings.NewReader(stdin), Out: &o, Err: &e})
	return status, o.String(), strings.ReplaceAll(e.String(), "../../testdata/feeds/", "FEEDS/")
}

func TestReadPrintsWhatAFileHolds(t *testing.T) {
	for _, row := range []struct {
		sentence string
		args     []string
		out      []string // lines that must stand in the output, in this order
		said     []string // parts of standard error
	}{
		{"days with a published mean", []string{"knmi", "FEEDS/knmi/clean.txt"},
			[]string{"date,tmin_c,tmax_c,tmean_c", "2031-05-01,-0.4,12.1,6.1", "2031-05-04,-0.1,12.4,6.4"},
			[]string{"station 999, 4 days from 2031-05-01 to 2031-05-04, wind of 4 days, 0 missing values, 0 not taken", "a day is 00–24 UTC", "mean published by the provider"}},
		{"a contradiction is empty, its reason is told", []string{"knmi", "FEEDS/knmi/dirty.txt"},
			[]string{"2031-05-01,-0.1,12.1,", "2031-05-04,,,"},
			[]string{`FEEDS/knmi/dirty.txt:10: TG "6.2" is no whole number of tenths`, "FEEDS/knmi/dirty.txt:14: 2031-05-04 says otherwise than line 13"}},
		{"one of several stations", []string{"ghcn-csv", "--station", "ZZE00000002", "FEEDS/ghcn-csv/edge.csv"},
			[]string{"2032-02-29,0,1,"}, []string{"station ZZE00000002, 1 day", "5 other records"}},
		{"the wind instead", []string{"ghcn-csv", "--station=ZZE00000001", "--wind", "FEEDS/ghcn-csv/edge.csv"},
			[]string{"date,mean_ms,max_ms,gust_ms", "2032-02-29,,,18.5"}, nil},
		{"a declared unit", []string{"ghcn-cdo", "FEEDS/ghcn-cdo/clean.txt", "--unit", "F"},
			[]string{"2031-05-01,5,15,10", "2031-05-02,-5,10,0", "2031-05-03,,,"}, []string{"3 missing values"}},
		{"days of a logger in local standard time", []string{"logger", "--window", "00-24 UTC+02:00", "FEEDS/logger/clean.csv"},
			[]string{"2031-04-30,,,", "2031-05-01,4,10,7", "2031-05-02,6,12,9"},
			[]string{"mean of the readings", "2 other records", "2031-05-03: the day wasn't over at the newest reading: provisional"}},
		{"the readings themselves", []string{"logger", "--readings", "FEEDS/logger/clean.csv"},
			[]string{"time,temp_c,tmin_c,tmax_c", "2031-04-30T20:00:00Z,5,,"}, []string{"30 readings"}},
		{"declared columns, zone, mark and code", []string{"logger", "--readings", "--columns", "time=2,temp=4,error=9", "--unit", "C", "--zone", "UTC", "FEEDS/logger/headerless.csv"},
			[]string{"2031-06-15T00:00:00Z,16.875,,"}, []string{"headerless.csv:51: -100 is no temperature: the row states sensor error 20", "99 readings"}},
		{"a station list", []string{"dwd-stations", "FEEDS/dwd-stations/edge.txt"},
			[]string{"id,name,region,latitude_deg,longitude_deg,altitude_m,first,last", `00077,"Bad Ort, Kr. Stadt (Süd)",Mecklenburg-Vorpommern,54.8413,8.8493,-1,1937-01-01,2031-06-30`}, []string{"1 station"}},
		{"a zip that says what a day is", []string{"dwd-daily", "FEEDS/dwd-daily/edge.zip"},
			[]string{"1986-12-31,2,12,6", "2032-02-29,2,12,6.4"},
			[]string{"1987-01-01–2001-03-31: a day is 21:30–21:30 UTC+01:00, dated by its end", "QN_4 5: 2"}},
		{"two elements of one station in two files", []string{"ecad", "FEEDS/ecad/clean.txt", "FEEDS/ecad/dirty.txt"},
			[]string{"2031-05-01,,12.1,5.1", "2031-05-05,,12.5,"}, []string{"station 99"}},
		{"the names of the formats", []string{"--list"}, []string{"dwd-daily"}, nil},
	} {
		status, out, said := read(t, "", row.args...)
		if status != 0 {
			t.Errorf("%s: status %d: %s", row.sentence, status, said)
		}
		rest := out
		for _, want := range row.out {
			_, after, found := strings.Cut(rest, want)
			if !found {
				t.Errorf("%s: %q is not in, or not after the one before:\n%s", row.sentence, want, out)
			}
			rest = after
		}
		for _, want := range row.said {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q is not in:\n%s", row.sentence, want, said)
			}
		}
	}
}

func TestReadRefusesWithWhatToAdd(t *testing.T) {
	for _, row := range []struct {
		sentence string
		args     []string
		status   int
		says     string
	}{
		{"nothing given", nil, 2, "--list names the formats"},
		{"a format alone", []string{"knmi"}, 2, "at least one file"},
		{"an unknown format", []string{"knim", "x"}, 2, `no format "knim"`},
		{"a window that is none", []string{"logger", "--window", "6-6", "x"}, 2, "--window"},
		{"a zone that is none", []string{"logger", "--zone", "Europe/Nowhere", "x"}, 2, "no time zone"},
		{"a share that is none", []string{"logger", "--share", "2", "x"}, 2, "--share"},
		{"no such file", []string{"knmi", "FEEDS/none.txt"}, 1, "no such file"},
		{"no window for a logger's days", []string{"logger", "FEEDS/logger/clean.csv"}, 1, "add a window"},
		{"no clock", []string{"logger", "--window", "00-24 UTC", "FEEDS/logger/dirty.csv"}, 1, "FEEDS/logger/dirty.csv:1: nothing says what clock"},
		{"no unit", []string{"ghcn-cdo", "FEEDS/ghcn-cdo/clean.txt"}, 1, "add unit: C or unit: F"},
		{"readings of days", []string{"knmi", "--readings", "FEEDS/knmi/clean.txt"}, 1, "holds days, not readings"},
		{"wind where there is none", []string{"ecad", "--wind", "FEEDS/ecad/clean.txt"}, 1, "no wind"},
		{"files of two stations", []string{"ghcn-csv", "FEEDS/ghcn-csv/clean.csv", "FEEDS/ghcn-daily/invented.dly"}, 1, "invented.dly"},
		{"means of other days", []string{"ecad", "FEEDS/ecad/clean.txt", "FEEDS/ecad/edge.txt"}, 1, "two stations, 99 and 999001"},
	} {
		status, out, said := read(t, "", row.args...)
		if status != row.status || out != "" || !strings.Contains(said, row.says) {
			t.Errorf("%s: status %d, %q, said: %s", row.sentence, status, out, said)
		}
	}
}

func TestReadFromStandardInputAndPacked(t *testing.T) {
	plain, err := os.ReadFile("../../testdata/feeds/knmi/clean.txt")
	if err != nil {
		t.Fatal(err)
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write(plain)
	z.Close()
	_, want, _ := read(t, "", "knmi", "FEEDS/knmi/clean.txt")
	if status, out, said := read(t, string(plain), "knmi", "-"); status != 0 || out != want || !strings.Contains(said, "standard input: ") && !strings.Contains(said, "-: ") {
		t.Errorf("status %d: %s%s", status, out, said)
	}
	file := filepath.Join(t.TempDir(), "etmgeg.gz")
	if err := os.WriteFile(file, packed.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, out, said := read(t, "", "knmi", file); status != 0 || out != want {
		t.Errorf("status %d: %s%s", status, out, said)
	}
}

func TestReadForPrograms(t *testing.T) {
	status, out, said := read(t, "", "dwd-daily", "--json", "FEEDS/dwd-daily/dirty.txt")
	var a struct {
		Format, Station, Window string
		MeanOf                  string `json:"mean_of"`
		Days                    []struct {
			Date string
			Max  *float64 `json:"tmax_c"`
			Mark string
		}
		Rejects []struct {
			File   string
			Line   int
			Reason string
		}
		Flags map[string]int
		Winds []struct {
			Gust float64 `json:"gust_ms"`
		}
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil || status != 0 {
		t.Fatalf("%v, status %d: %s", err, status, said)
	}
	if a.Format != "dwd-daily" || a.Station != "77" || a.Window != "not stated" || a.MeanOf != "published by the provider" || len(a.Days) != 4 ||
		a.Days[1].Max != nil || a.Days[3].Mark != "conflicting days" || *a.Days[3].Max != 16.2 || len(a.Rejects) != 8 || a.Rejects[0].Line != 4 || a.Flags["QN_4 3"] != 4 || a.Winds[0].Gust != 10.1 {
		t.Errorf("%+v", a)
	}
}
