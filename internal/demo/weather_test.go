package demo

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/config"
)

var update = flag.Bool("update", false, "write the example's invented weather anew")

const (
	example     = "../../config"
	exampleData = "../../testdata/demo"
)

func programme(t testing.TB) *config.Programme {
	t.Helper()
	p, problems, err := app.Load(example)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return p
}

func ourSky() *sky { return newSky(seed, firstYear, seasonYear) }

// The files that the example names are what the generator gives, so that
// nobody mistakes them for anybody's readings.
func TestTheExamplesFilesAreInvented(t *testing.T) {
	s := ourSky()
	total := 0
	for _, st := range s.stations(programme(t)) {
		path := filepath.Join(exampleData, st.code+".csv")
		want := st.file(s.all())
		total += len(want)
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		have, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(have, want) {
			t.Errorf("%s isn't what the generator gives: go test ./internal/demo -run Invented -update", path)
		}
		if !bytes.HasPrefix(have, []byte(header)) {
			t.Errorf("%s begins with %.40q", path, have)
		}
	}
	if total > 1_000_000 {
		t.Errorf("the files hold %d bytes, want at most a million", total)
	}
}

// A month's mean over the years is its normal, within three standard errors:
// the standard deviation of a month's mean over the years is about 2 K in
// winter (our generator's own; measured), so of 16 years 0.5 K.
func TestTheWeatherIsAroundItsNormals(t *testing.T) {
	s := ourSky()
	for _, st := range s.stations(programme(t)) {
		var sum, normal, warmer [12]float64
		var days [12]int
		for i, r := range st.days {
			day := st.first + civil.Date(i)
			m := day.Month() - time.January
			sum[m] += float64(r.meanDC) / 10
			normal[m] += normalC(st.place, day)
			warmer[m] += warmingKPerYear * float64(day.Year()-seasonYear)
			days[m]++
		}
		for m := range sum {
			n := float64(days[m])
			off := (sum[m] - normal[m] - warmer[m]) / n
			if math.Abs(off) > 3*0.5 {
				t.Errorf("%s, %s: %.2f K off its normal", st.code, time.Month(m+1), off)
			}
		}
	}
}

func TestNormalsFallWithLatitudeAndHeight(t *testing.T) {
	july := civil.MustParse("2031-07-15")
	for _, row := range []struct {
		says  string
		place place
		want  float64
	}{
		{"at 56° as the table says", place{LatDeg: 56}, 18.4},
		{"half-way to 61° half-way between, by hand (18.4+17.7)/2", place{LatDeg: 58.5}, 18.05},
		{"at 400 m 2.6 K colder, by hand 0.4 km of 6.5 K", place{LatDeg: 56, AltitudeM: 400}, 15.8},
		{"beyond the table as at its end", place{LatDeg: 75}, 12.4},
	} {
		if got := normalC(row.place, july); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s: %.3f, want %.3f", row.says, got, row.want)
		}
	}
	// By hand: 15 May to 15 June is 31 days, 31 May is 16 of them on.
	want := 12.3 + (16.0-12.3)*16/31
	if got := normalC(place{LatDeg: 56}, civil.MustParse("2031-05-31")); math.Abs(got-want) > 1e-9 {
		t.Errorf("between months: %.3f, want %.3f", got, want)
	}
}

func TestTheSameSeedGivesTheSameWeatherInAnyOrder(t *testing.T) {
	a, b := ourSky(), ourSky()
	here, there := place{56.4, 25.6, 96}, place{66, 26.1, 176}
	day := civil.MustParse("2031-05-03")
	first, second := a.meanC(here, day), a.meanC(there, day)
	if b.meanC(there, day) != second || b.meanC(here, day) != first {
		t.Error("the order of asking changes the weather")
	}
	if newSky(seed+1, firstYear, seasonYear).meanC(here, day) == first {
		t.Error("another seed gives the same weather")
	}
	if near := a.meanC(place{56.5, 25.5, 96}, day); math.Abs(near-first) > 1 {
		t.Errorf("10 km away it is %.1f K warmer", near-first)
	}
}

func TestAStationFileHasItsFaults(t *testing.T) {
	s := ourSky()
	stations := s.stations(programme(t))
	whole := map[string]string{}
	silent := 0
	for _, st := range stations {
		whole[st.code] = string(st.file(s.all()))
		if st.silent.Len() > 0 {
			silent++
			if strings.Contains(whole[st.code], silence.First.String()) || !strings.Contains(whole[st.code], (silence.First-1).String()) {
				t.Errorf("%s isn't silent for its week", st.code)
			}
		}
		if !strings.Contains(whole[st.code], ",,,\n") {
			t.Errorf("%s never lacks a day", st.code)
		}
	}
	if silent != 1 {
		t.Errorf("%d stations are silent for a week, want one", silent)
	}
	st := stations[0]
	day := civil.MustParse("2031-04-10")
	w := misread{st.code, day, 7, day + 4}
	for _, row := range []struct {
		says  string
		today civil.Date
		wrong bool
	}{{"the next day it is wrong", day + 1, true}, {"until it is mended", day + 3, true}, {"then it is right", day + 4, false}} {
		days := civil.Range{First: civil.MustParse("2031-01-01"), Last: row.today - 1}
		if wrong := !bytes.Equal(st.file(days, w), st.file(days)); wrong != row.wrong {
			t.Errorf("%s: %v", row.says, wrong)
		}
	}
}

func TestDecimals(t *testing.T) {
	for tenths, want := range map[int]string{0: "0.0", -3: "-0.3", -12: "-1.2", 105: "10.5", 7: "0.7"} {
		if got := decimal(tenths); got != want {
			t.Errorf("%d is %s, want %s", tenths, got, want)
		}
	}
}
