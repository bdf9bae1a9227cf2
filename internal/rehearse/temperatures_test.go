package rehearse_test

import (
	"math"
	"strings"
	"testing"

	"budcall/internal/rehearse"
)

func TestReadTemperatures(t *testing.T) {
	for _, row := range []struct {
		name, in string
		third    float64 // of 3 January 2021
	}{
		{"usual columns", "date,tmin_c,tmax_c,tmean_c\n2021-01-03,-4,2,-1.5\n", -1.5},
		{"other order, other columns", "station,tmean_c,date\nX,7.25,2021-01-03\n", 7.25},
		{"no mean: half of the extremes", "date,tmin_c,tmax_c,tmean_c\n2021-01-03,-4,2,\n", -1},
		{"extremes alone", "date,tmin_c,tmax_c\n2021-01-03,1,4\n", 2.5},
		{"a byte order mark, capitals, blanks", "\ufeffDate, TMEAN_C\n2021-01-03, 5\n", 5},
		{"nothing given is missing", "date,tmean_c\n2021-01-03,\n", math.NaN()},
	} {
		years, err := rehearse.ReadTemperatures("x.csv", strings.NewReader(row.in))
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		got := years[2021]
		if len(got) != 3 || !math.IsNaN(got[0]) || !math.IsNaN(got[1]) {
			t.Errorf("%s: %v, want days before the first missing", row.name, got)
			continue
		}
		if got[2] != row.third && !(math.IsNaN(got[2]) && math.IsNaN(row.third)) {
			t.Errorf("%s: %v, want %v", row.name, got[2], row.third)
		}
	}
}

func TestBadTemperaturesAreRefusedWithTheLine(t *testing.T) {
	for _, row := range []struct{ name, in, want string }{
		{"an empty file", "", "reading x.csv: EOF: give daily temperatures"},
		{"no date column", "day,tmean_c\n", "x.csv:1: the heading lacks date"},
		{"no temperature column", "date,rain\n", "x.csv:1: the heading lacks"},
		{"no such day", "date,tmean_c\n2021-02-30,1\n", "x.csv:2: date"},
		{"Fahrenheit", "date,tmean_c\n2021-01-01,1\n2021-01-02,77\n", `x.csv:3: tmean_c: "77" is no air temperature`},
		{"a word", "date,tmean_c\n2021-01-01,warm\n", `x.csv:2: tmean_c: "warm"`},
		{"not a number", "date,tmean_c\n2021-01-01,NaN\n", `x.csv:2: tmean_c: "NaN"`},
		{"a day twice", "date,tmean_c\n2021-01-01,1\n2021-01-01,1\n", "x.csv:3: date: 2021-01-01 stands twice or out of order"},
		{"days out of order", "date,tmean_c\n2021-01-02,1\n2021-01-01,1\n", "x.csv:3: date"},
		{"a short line", "date,tmean_c\n2021-01-02\n", "wrong number of fields"},
	} {
		_, err := rehearse.ReadTemperatures("x.csv", strings.NewReader(row.in))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v, want %q in it", row.name, err, row.want)
		}
	}
}

func FuzzReadTemperatures(f *testing.F) {
	f.Add("date,tmin_c,tmax_c,tmean_c\n2020-02-29,,3,1\n2020-12-31,1,2,\n")
	f.Add("date,tmean_c\n\"2020-01-01\",\"-0\"\n")
	f.Fuzz(func(t *testing.T, in string) {
		years, err := rehearse.ReadTemperatures("x", strings.NewReader(in))
		if err != nil {
			return
		}
		for year, means := range years {
			if len(means) == 0 || len(means) > 366 {
				t.Errorf("%d has %d days", year, len(means))
			}
			for _, v := range means {
				if math.Abs(v) > 60 {
					t.Errorf("%d has %g °C", year, v)
				}
			}
		}
	})
}
