package degreeday_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// filled puts the day before in the place of each day that is absent or has no
// mean, as the yearly figures were computed, and tells how many there were.
func filled(days []weather.Day, over civil.Range) (whole []weather.Day, absent int) {
	have := map[civil.Date]weather.Day{}
	for _, d := range days {
		if !math.IsNaN(d.MeanC) {
			have[d.Date] = d
		}
	}
	before := have[over.First-1]
	for n := range over.Len() {
		date := over.First + civil.Date(n)
		d, ok := have[date]
		if !ok {
			d, absent = before, absent+1
			d.Date = date
		}
		whole, before = append(whole, d), d
	}
	return whole, absent
}

// reached gives the first day on which a sum is there.
func reached(s degreeday.Sum, cd float64) civil.Date {
	for _, d := range s.Days {
		if d.SumCd >= cd-within {
			return d.Date
		}
	}
	return 0
}

// TestHelsinkiYearByYear sums a real series and meets the figures of
// testdata/helsinki_years.csv, whose source stands in that file.
func TestHelsinkiYearByYear(t *testing.T) {
	shared := os.Getenv("BUDCALL_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(shared, "data", "daily_helsinki_vantaa_1952-2017.csv")
	if _, err := os.Stat(path); err != nil {
		t.Skipf("the daily series of Helsinki-Vantaa isn't here (%v): set BUDCALL_SHARED to the folder that holds data/; TestAnInventedSpring does the same on our own file", err)
	}
	all := series(t, path)
	r := mustRule(t, degreeday.Mean, "", 5, none)
	years := records(t, "testdata/helsinki_years.csv")
	if len(years) != 36 {
		t.Fatalf("%d years, want 1981 to 2016", len(years))
	}
	for _, want := range years {
		year := int(number(t, want["year"]))
		season := civil.Range{First: civil.Of(year, 1, 1), Last: civil.Of(year, 12, 31)}
		days, absent := filled(all, season)
		s, err := r.Accumulate(days, season)
		if err != nil || len(s.Missing) > 0 {
			t.Fatalf("%d: %v, missing %v", year, err, s.Missing)
		}
		if sum := number(t, want["year_cd"]); !near(s.TotalCd, sum, 1) {
			t.Errorf("%d: %.1f °C·d, want %g", year, s.TotalCd, sum)
		}
		for column, cd := range map[string]float64{"reached_50": 50, "reached_100": 100, "reached_850": 850} {
			on := civil.MustParse(want["year"] + "-" + want[column])
			if got := reached(s, cd); got < on-1 || got > on+1 {
				t.Errorf("%d: %g °C·d on %s, want %s", year, cd, got, on)
			}
		}
		raw, err := r.Accumulate(all, season)
		if err != nil || len(raw.Missing) != absent || math.IsNaN(raw.TotalCd) != (absent > 0) {
			t.Errorf("%d as it is: %v, %d missing of %d absent, total %g", year, err, len(raw.Missing), absent, raw.TotalCd)
		}
	}
}

// TestAnInventedSpring is the small sibling of the year by year test: five days
// are absent, the day before stands for each. The figures were computed
// separately, in whole tenths of a degree by integer arithmetic.
func TestAnInventedSpring(t *testing.T) {
	all := series(t, "testdata/invented_spring.csv")
	season := civil.Range{First: civil.Of(2031, 1, 1), Last: civil.Of(2031, 6, 30)}
	days, absent := filled(all, season)
	r := mustRule(t, degreeday.Mean, "", 5, none)
	s, err := r.Accumulate(days, season)
	if err != nil || absent != 5 {
		t.Fatalf("%v, %d absent", err, absent)
	}
	if !near(s.TotalCd, 505.5, 1e-6) {
		t.Errorf("sum %.2f", s.TotalCd)
	}
	for cd, want := range map[float64]string{50: "2031-05-08", 100: "2031-05-16", 400: "2031-06-20"} {
		if got := reached(s, cd); got.String() != want {
			t.Errorf("%g °C·d on %s, want %s", cd, got, want)
		}
	}
	if start, ok := degreeday.GrowingSeasonStart(all, 2031); start.String() != "2031-04-26" || !ok {
		t.Errorf("growing season from %s (%v): no hole is near its start", start, ok)
	}
	raw, err := r.Accumulate(all, season)
	if err != nil || !near(raw.KnownCd, 486.1, 1e-6) || !math.IsNaN(raw.TotalCd) || len(raw.Missing) != 5 || raw.Missing[0] != civil.Of(2031, 1, 20) {
		t.Errorf("with the holes: %v, known %.2f, total %g, missing %v", err, raw.KnownCd, raw.TotalCd, raw.Missing)
	}
}

// TestAMonthWithHoles stands in for a published real month with five days that
// lack one extreme (Helsinki Kumpula, June 2016, GHCN-Daily): that month's file
// isn't at hand, so its figures are not checked here. This month is invented,
// with its holes on the same days; the figures were computed separately, the
// curves by integration in 20,000 steps a day.
func TestAMonthWithHoles(t *testing.T) {
	days := series(t, "testdata/invented_june.csv")
	over := civil.Range{First: civil.Of(2031, 6, 1), Last: civil.Of(2031, 6, 30)}
	var holes []civil.Date
	for _, d := range []int{3, 8, 18, 27, 29} {
		holes = append(holes, civil.Of(2031, 6, d))
	}
	if s, err := mustRule(t, degreeday.Mean, "", 5, none).Accumulate(days, over); err != nil || !near(s.TotalCd, 172.3, 1e-6) || len(s.Missing) > 0 {
		t.Errorf("by the mean column no day is missing: %v, %.4f, missing %v", err, s.TotalCd, s.Missing)
	}
	for _, c := range []struct {
		method degreeday.Method
		base   float64
		want   float64
	}{
		{degreeday.Average1, 5, 140.45}, {degreeday.Average2, 5, 154.25}, {degreeday.FourCase, 5, 147.35},
		{degreeday.Sine, 5, 147.4135}, {degreeday.Triangle, 5, 145.1876},
		{degreeday.Average1, 10, 40.45}, {degreeday.Average2, 10, 66.95}, {degreeday.FourCase, 10, 53.70},
		{degreeday.Sine, 10, 53.6014}, {degreeday.Triangle, 10, 49.1757},
	} {
		s, err := mustRule(t, c.method, "", c.base, none).Accumulate(days, over)
		if err != nil || !near(s.KnownCd, c.want, 2e-4) {
			t.Errorf("%s above %g °C: %v, %.4f over the 25 whole days, want %.4f", c.method, c.base, err, s.KnownCd, c.want)
		}
		if !math.IsNaN(s.TotalCd) || !slices.Equal(s.Missing, holes) {
			t.Errorf("%s: total %g, missing %v, want none and %v", c.method, s.TotalCd, s.Missing, holes)
		}
	}
	// A double method also loses the day before a missing minimum, and the last
	// day, whose tomorrow isn't in the file.
	s, _ := mustRule(t, degreeday.DoubleSine, "", 5, none).Accumulate(days, over)
	want := append(slices.Clone(holes), civil.Of(2031, 6, 26), civil.Of(2031, 6, 28), civil.Of(2031, 6, 30))
	slices.Sort(want)
	if !slices.Equal(s.Missing, want) {
		t.Errorf("double sine: missing %v, want %v", s.Missing, want)
	}
}
