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
			[]string{"station 999, 4 days from 2031-05-01 to 2031-05-04, wind of 4 days, 0 missing values, 0 not taken", "a day is 00–24 UTC", "the mean is published by the provider"}},
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
			[]string{"the mean is that of the readings", "2 other records", "2031-05-03: the day wasn't over at the newest reading: provisional"}},
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
		{"no such file", []string{"knmi", "FEEDS/none.txt"}, 1, "FEEDS/none.txt isn't there: look how its name is written"},
		{"a share that is no number", []string{"logger", "--share", "NaN", "x"}, 2, "--share is NaN: write a share above 0 and up to 1"},
		{"a gap before now", []string{"logger", "--gap", "-3h", "x"}, 2, `value "-3h" for --gap: write a time above 0 and up to 24h with its unit, such as 3h or 90m`},
		{"no gap at all", []string{"logger", "--gap", "0s", "x"}, 2, "for --gap: write a time above 0"},
		{"a gap without its unit", []string{"logger", "--gap", "3", "x"}, 2, "with its unit, such as 3h or 90m"},
		{"a gap longer than a day", []string{"logger", "--gap", "25h", "x"}, 2, "up to 24h"},
		{"an abbreviation of a zone", []string{"logger", "--zone", "EET", "x"}, 2, "a zone by its area and city, such as Europe/Helsinki (EET, CET and the like may or may not mean summer time)"},
		{"this machine's zone", []string{"logger", "--zone", "Local", "x"}, 2, "no time zone that is meant here"},
		{"a window in an abbreviation", []string{"logger", "--window", "00-24 CET", "x"}, 2, `--window: "CET" is no time zone`},
		{"other hours than the file's days", []string{"open-meteo", "--window", "06-06 UTC end", "FEEDS/open-meteo/clean.json"}, 2, "its days are 00–24 Europe/Helsinki, dated by its start, and days of other hours (06–06 UTC, dated by its end) can't be made of them: leave --window out"},
		{"the same of another format", []string{"smhi-metobs", "--window", "00-24 UTC", "FEEDS/smhi-metobs/clean.csv"}, 2, "its days are 18–18 UTC, dated by its end"},
		{"the second place of one", []string{"open-meteo", "--location", "2", "FEEDS/open-meteo/clean.json"}, 1, "the answer holds one place, and location is 2 (leave --location out)"},
		{"what to do, in options", []string{"open-meteo", "FEEDS/open-meteo/invented_two_places.json"}, 1, "give --location with a number from 1 to 2"},
		{"no window for a logger's days", []string{"logger", "FEEDS/logger/clean.csv"}, 1, "add --window \"00-24 UTC+02:00\""},
		{"no clock", []string{"logger", "--window", "00-24 UTC", "FEEDS/logger/dirty.csv"}, 1, "FEEDS/logger/dirty.csv:1: nothing says what clock"},
		{"no unit", []string{"ghcn-cdo", "FEEDS/ghcn-cdo/clean.txt"}, 1, "add --unit C or --unit F"},
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

func TestReadTellsWhatCannotBe(t *testing.T) {
	const head = "date,tmin_c,tmax_c\n"
	const warm = `<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0" xmlns:BsWfs="http://xml.fmi.fi/schema/wfs/2.0"><wfs:member><BsWfs:BsWfsElement><BsWfs:Time>2031-05-01T00:00:00Z</BsWfs:Time><BsWfs:ParameterName>tday</BsWfs:ParameterName><BsWfs:ParameterValue>warm</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member></wfs:FeatureCollection>`
	for _, row := range []struct {
		sentence string
		format   string
		body     string
		args     []string
		status   int
		out      string // part of the output
		says     string // part of standard error
	}{
		{"every value was rejected", "fmi", warm,
			nil, 1, "", "standard input: no value in it was taken, for the reasons that are told: look whether it is fmi, and whole"},
		{"every line was", "delimited", head + "2031-05-01,x,y\n2031-05-02,z,w\n", nil, 1, "", "(give it in --missing if it means no reading)"},
		{"programs are told in both ways", "fmi", warm, []string{"--json"}, 1, `"rejects": [`, "no value in it was taken"},
		{"a file of missing values is one", "delimited", head + "2031-05-01,,\n", nil, 0, "2031-05-01,,,", "2 missing values"},
		{"a temperature that can't be is printed, and told once", "delimited", head + "2031-05-01,5,15\n2031-05-02,5,99\n2031-05-03,5,98\n", nil, 0, "2031-05-02,5,99,",
			"standard input: 2 readings can't be, so no programme uses them; the first is of 2031-05-02: out of range, minimum 5.0, maximum 99.0 °C\n"},
		{"so is a minimum above the maximum", "delimited", head + "2031-05-01,15,5\n", nil, 0, "2031-05-01,15,5,",
			"1 reading can't be, so no programme uses it; the first is of 2031-05-01: min above max, minimum 15.0, maximum 5.0 °C\n"},
		{"programs see the mark", "delimited", head + "2031-05-01,15,5\n", []string{"--json"}, 0, `"mark": "min above max"`, "1 reading can't be"},
		{"a file in the wrong unit", "delimited", head + "2031-05-01,50,68\n2031-05-02,51,69\n2031-05-03,52,70\n", nil, 0, "2031-05-01,50,68,",
			"look like degrees Fahrenheit, so none is used by a programme (if so, give --unit F)"},
		{"readings that can't be", "logger", "time,temp °C\n2031-05-01 00:00,5\n2031-05-01 01:00,75\n2031-05-01 02:00,6\n", []string{"--readings", "--zone", "UTC"}, 0, "2031-05-01T01:00:00Z,75,,",
			"1 reading can't be, so no programme uses it; the first is of 2031-05-01T01:00:00Z: out of range, mean 75.0 °C"},
		{"what can be isn't told", "delimited", head + "2031-05-01,5,15\n", nil, 0, "2031-05-01,5,15,", ""},
	} {
		args := append([]string{row.format}, row.args...)
		status, out, said := read(t, row.body, append(args, "-")...)
		if status != row.status || !strings.Contains(out, row.out) || row.out == "" && out != "" || !strings.Contains(said, row.says) || row.says == "" && strings.Contains(said, "can't be") {
			t.Errorf("%s: status %d\n%s\nsaid: %s", row.sentence, status, out, said)
		}
	}
}
