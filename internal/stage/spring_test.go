package stage_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/weather"
)

// spring is a year to be forecast day by day from a file of daily temperatures.
type yearOfDays struct {
	days    []weather.Day
	year    int
	horizon int // days from 1 January and from 1 March on
}

// series reads daily temperatures, date,tmin_c,tmax_c,tmean_c; empty is missing.
func series(t *testing.T, path string) []weather.Day {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var days []weather.Day
	for _, row := range rows[1:] {
		d := weather.Missing(civil.MustParse(row[0]))
		for i, c := range []*float64{&d.MinC, &d.MaxC, &d.MeanC} {
			if row[i+1] == "" {
				continue
			}
			if *c, err = strconv.ParseFloat(row[i+1], 64); err != nil {
				t.Fatalf("%s: %v", path, err)
			}
		}
		days = append(days, weather.Judge(d))
	}
	return days
}

// members are the 30 years before, as far as the file has them.
func (s yearOfDays) members(start civil.MonthDay) ensemble.Members {
	var past []weather.Day
	for _, d := range s.days {
		if d.Date.Year() >= s.year-30 {
			past = append(past, d)
		}
	}
	last := civil.Of(s.year, time.August, 31)
	return ensemble.FromMeans(stage.Means(past), ensemble.Alignment{Start: start, Year: s.year, Horizon: min(s.horizon, int(last-start.In(s.year))+1)})
}

func (s yearOfDays) issue(t *testing.T, code stage.BBCH, day civil.Date) ensemble.Days {
	st := birch(code)
	return mustIssue(t, input{
		Stage: st, Season: s.year, Issued: day, Observed: s.days, Members: s.members(st.Heat.Start), Horizon: s.horizon,
	})
}

// lastBaggingDay is the first day that, as issued that day, is the last one
// with a chance of bud break of at most 1 in 10.
func (s yearOfDays) lastBaggingDay(t *testing.T) civil.Date {
	for day := civil.Of(s.year, time.March, 1); day.Month() < time.July; day++ {
		if last, ok := s.issue(t, stage.BudBreak, day).LastAtMost(0.10); ok && last <= day {
			return day
		}
	}
	t.Fatal("bud break never comes near")
	return 0
}

// median of a stage once everything is observed.
func (s yearOfDays) median(t *testing.T, code stage.BBCH) civil.Date {
	day, ok := s.issue(t, code, civil.Of(s.year, time.August, 31)).Quantile(0.5)
	if !ok {
		t.Fatalf("stage %s isn't reached by the end of August", code)
	}
	return day
}

type expected struct {
	what   string
	got    civil.Date
	want   string
	within civil.Date // days
}

func (s yearOfDays) check(t *testing.T, rows []expected) {
	t.Logf("members from 1 March: %v", s.members(march1).Years)
	for _, row := range rows {
		t.Logf("%s: %s", row.what, row.got)
		if off := row.got - civil.MustParse(row.want); off < -row.within || off > row.within {
			t.Errorf("%s: %s, want %s within %d days", row.what, row.got, row.want, row.within)
		}
	}
}

// helsinki gives the path of the daily series of Helsinki-Vantaa, open data.
func helsinki(t *testing.T) string {
	shared := os.Getenv("BUDCALL_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(shared, "data", "daily_helsinki_vantaa_1952-2017.csv")
	if _, err := os.Stat(path); err != nil {
		t.Skipf("the daily series of Helsinki-Vantaa isn't here (%v): set BUDCALL_SHARED to the folder that holds data/; the tests on testdata/ do the same on our own file", err)
	}
	return path
}

// TestHelsinki2016 issues spring 2016 day by day from the years before it. The
// days wanted were computed beforehand from the series with the silver birch
// numbers; the series is open data of Helsinki-Vantaa.
func TestHelsinki2016(t *testing.T) {
	s := yearOfDays{days: series(t, helsinki(t)), year: 2016, horizon: 306}
	s.check(t, []expected{
		{"last bagging day as issued that day", s.lastBaggingDay(t), "2016-05-03", 2},
		{"flowering begins, median", s.median(t, stage.Flowering), "2016-05-10", 2},
		{"seed ripe, median", s.median(t, stage.SeedRipe), "2016-07-22", 2},
	})
}

// TestAnInventedSpring takes the same path on invented weather. The days wanted
// were worked out from the file by a second program that shares no code.
func TestAnInventedSpring(t *testing.T) {
	s := yearOfDays{days: series(t, filepath.Join("testdata", "invented_daily_2015-2031.csv")), year: 2031, horizon: 306}
	early := s.issue(t, stage.BudBreak, civil.Of(2031, time.April, 1))
	quantile := func(p float64) civil.Date {
		day, _ := early.Quantile(p)
		return day
	}
	s.check(t, []expected{
		{"bud break as issued on 1 April, P10", quantile(0.1), "2031-04-26", 0},
		{"bud break as issued on 1 April, P50", quantile(0.5), "2031-05-11", 0},
		{"bud break as issued on 1 April, P90", quantile(0.9), "2031-05-23", 0},
		{"last bagging day as issued that day", s.lastBaggingDay(t), "2031-05-02", 0},
		{"flowering begins, median", s.median(t, stage.Flowering), "2031-05-10", 0},
		{"seed ripe, median", s.median(t, stage.SeedRipe), "2031-07-28", 0},
	})
	if n := len(s.members(march1).Years); n != 16 {
		t.Errorf("%d members, want 16: 2015 to 2030", n)
	}
	if math.IsNaN(early.On(early.From)) {
		t.Error("a missing day came through")
	}
}

// Nothing on file after the day of issue matters: neither the rest of the year
// nor a later one, in members or readings.
func TestAnInventedSpringKnowsNothingOfItsFuture(t *testing.T) {
	s := yearOfDays{days: series(t, filepath.Join("testdata", "invented_daily_2015-2031.csv")), year: 2031, horizon: 306}
	issued := civil.Of(2031, time.April, 24)
	before := s.issue(t, stage.BudBreak, issued)
	for i := range s.days {
		if s.days[i].Date >= issued {
			s.days[i].MeanC = 40 - float64(i%90)
		}
	}
	after := s.issue(t, stage.BudBreak, issued)
	for i := range before.By {
		if math.Float64bits(before.By[i]) != math.Float64bits(after.By[i]) {
			t.Fatalf("%s: %g became %g", before.From+civil.Date(i), before.By[i], after.By[i])
		}
	}
}
