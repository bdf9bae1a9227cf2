package replay_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/replay"
	"budcall/internal/trail"
)

func trial(t testing.TB) *config.Programme {
	t.Helper()
	p, problems, err := app.Load(folder(t, programme(t, 2, 2015, civil.MustParse("2015-01-02")), "127.0.0.1:9"))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return p
}

func TestReportsFromAFile(t *testing.T) {
	p := trial(t)
	const text = "\ufeffsite, Kind,day,person,task,tree,bbch,selfing,control,on,at\r\n" +
		"SITE00,bags on,2016-05-04,,,T1,,2,1,,\r\n" +
		"SITE01,not yet seen,2016-05-01,aava,bag-on,,07,,,,2016-05-01 18:30\r\n" +
		"SITE01,going,2016-05-02,aava,bag on,,,,,2016-05-05,2016-05-02T21:00:00+02:00\r\n"
	got, err := replay.ReadReports(strings.NewReader(text), "said.csv", p)
	if err != nil {
		t.Fatal(err)
	}
	want := []trail.Report{ // Helsinki is at +03:00 in May
		{ID: 1, Person: "otso", Site: "SITE00", Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: civil.MustParse("2016-05-04"), At: time.Date(2016, 5, 4, 17, 0, 0, 0, time.UTC), Way: "file"},
		{ID: 2, Person: "aava", Site: "SITE01", Task: "bag on", Kind: trail.NotYet, BBCH: 7, Day: civil.MustParse("2016-05-01"), At: time.Date(2016, 5, 1, 15, 30, 0, 0, time.UTC), Way: "file"},
		{ID: 3, Person: "aava", Site: "SITE01", Task: "bag on", Kind: trail.Going, Day: civil.MustParse("2016-05-02"), On: civil.MustParse("2016-05-05"), At: time.Date(2016, 5, 2, 19, 0, 0, 0, time.UTC), Way: "file"},
	}
	if len(got) != len(want) {
		t.Fatalf("%d reports", len(got))
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("line %d\nwant %+v\ngot  %+v", i+2, want[i], got[i])
		}
	}
}

func TestWhatCannotBeAReport(t *testing.T) {
	p := trial(t)
	for _, c := range []struct{ sentence, text, says string }{
		{"an empty file", "", "said.csv is empty: the first line names the columns"},
		{"a column that isn't known", "site,kind,day,place\n", `said.csv:1: there is no column "place"`},
		{"a column twice", "site,kind,day,day\n", "said.csv:1: the column day is there twice"},
		{"a column that is missing", "site,kind\n", "said.csv:1: the column day is missing"},
		{"a site that isn't known", "site,kind,day\nHOME,seed brown,2016-08-01\n", `said.csv:2: no site is called "HOME"`},
		{"a person who isn't known", "site,kind,day,person\nSITE00,seed brown,2016-08-01,ana\n", `said.csv:2: no person is called "ana"`},
		{"a kind that isn't known", "site,kind,day\nSITE00,bagged,2016-08-01\n", `said.csv:2: nothing is reported as "bagged"`},
		{"a task that isn't known", "site,kind,day,task\nSITE00,seed brown,2016-08-01,pick\n", `said.csv:2: no task is called "pick"`},
		{"a tree that isn't known", "site,kind,day,tree\nSITE00,bags off,2016-06-01,T7\n", `said.csv:2: SITE00 has no tree "T7"`},
		{"bags without a tree", "site,kind,day\nSITE00,bags off,2016-06-01\n", `said.csv:2: "bags off" is said of a tree`},
		{"a stage without its code", "site,kind,day\nSITE00,stage seen,2016-06-01\n", "said.csv:2: the profile silver-birch has no stage 00"},
		{"no day", "site,kind,day\nSITE00,seed brown,\n", "said.csv:2: day is empty"},
		{"a day that there isn't", "site,kind,day\nSITE00,seed brown,2016-02-30\n", "said.csv:2: day: "},
		{"a day to come", "site,kind,day,at\nSITE00,seed brown,2016-08-02,2016-08-01 10:00\n", "said.csv:2: it came on 2016-08-01 and is of 2016-08-02"},
		{"a time that can't be read", "site,kind,day,at\nSITE00,seed brown,2016-08-02,noon\n", `said.csv:2: at is "noon"`},
		{"more bags than there can be", "site,kind,day,tree,selfing\nSITE00,bags on,2016-05-02,T1,1000\n", `said.csv:2: selfing is "1000"`},
		{"going without a day", "site,kind,day\nSITE00,going,2016-05-02\n", "said.csv:2: on is empty"},
		{"going on a day that is past", "site,kind,day,on\nSITE00,going,2016-05-02,2016-05-01\n", "said.csv:2: on is 2016-05-01, before the day of the answer"},
		{"a quote that isn't closed, lines on", "site,kind,day\nSITE00,seed brown,2016-08-01\n\"SITE00,seed brown,2016-08-02\n", "said.csv"},
	} {
		_, err := replay.ReadReports(strings.NewReader(c.text), "said.csv", p)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, not %q", c.sentence, err, c.says)
		}
	}
}

func FuzzReadReports(f *testing.F) {
	p := trial(f)
	f.Add("site,kind,day,at\nSITE00,seed brown,2016-08-02,2016-08-02 10:00\n")
	f.Add("\ufeffsite,kind,day,on\nSITE01,going,2016-05-02,\"2016-05-04\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		reports, err := replay.ReadReports(strings.NewReader(text), "said.csv", p)
		if err != nil && !strings.Contains(err.Error(), "said.csv") {
			t.Errorf("the error doesn't name the file: %v", err)
		}
		for _, r := range reports {
			if r.Site == "" || r.Person == "" || r.Day == 0 || r.At.IsZero() {
				t.Errorf("taken though something is missing: %+v", r)
			}
		}
	})
}
