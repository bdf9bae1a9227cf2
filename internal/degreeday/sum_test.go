package degreeday_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// run is a spring of n days whose means are drawn, from today on.
func run(means ...float64) []weather.Day {
	var days []weather.Day
	for i, m := range means {
		d := weather.Missing(today + civil.Date(i))
		d.MeanC = m
		days = append(days, d)
	}
	return days
}

func TestASumDayByDay(t *testing.T) {
	r := mustRule(t, degreeday.Mean, "", 5, none)
	s, err := r.Accumulate(run(4, 7, 5, 10.5), civil.Range{First: today, Last: today + 3})
	if err != nil {
		t.Fatal(err)
	}
	// Computed by hand: 0, 2, 0 and 5.5 °C·d.
	want := []degreeday.DayHeat{
		{Date: today, HeatCd: 0, SumCd: 0}, {Date: today + 1, HeatCd: 2, SumCd: 2},
		{Date: today + 2, HeatCd: 0, SumCd: 2}, {Date: today + 3, HeatCd: 5.5, SumCd: 7.5},
	}
	if !slices.Equal(s.Days, want) || s.TotalCd != 7.5 || s.KnownCd != 7.5 || s.Missing != nil {
		t.Errorf("got %+v", s)
	}
}

func TestASumOverAHoleIsNoSum(t *testing.T) {
	days := run(7, 7, 7, 7, 7, 7)
	days[1].Mark = weather.OutOfRange
	days = slices.Delete(days, 3, 4)
	r := mustRule(t, degreeday.Mean, "", 5, none)
	s, err := r.Accumulate(days, civil.Range{First: today - 1, Last: today + 6})
	if err != nil {
		t.Fatal(err)
	}
	if want := []civil.Date{today - 1, today + 1, today + 3, today + 6}; !slices.Equal(s.Missing, want) {
		t.Errorf("missing %v, want %v: before the first reading, the marked day, the absent one, and after the last", s.Missing, want)
	}
	if !math.IsNaN(s.TotalCd) || s.KnownCd != 4*2 || len(s.Days) != 8 {
		t.Errorf("total %g, known %g, %d days", s.TotalCd, s.KnownCd, len(s.Days))
	}
	for _, d := range s.Days {
		if !math.IsNaN(d.SumCd) || d.Missing != math.IsNaN(d.HeatCd) || d.Missing != slices.Contains(s.Missing, d.Date) {
			t.Errorf("%+v after a missing day", d)
		}
	}
}

func TestTheSumBeforeAHoleStands(t *testing.T) {
	r := mustRule(t, degreeday.Mean, "", 5, none)
	s, _ := r.Accumulate(run(7, 8, none, 9), civil.Range{First: today, Last: today + 3})
	if s.Days[1].SumCd != 5 || !math.IsNaN(s.Days[2].SumCd) || !math.IsNaN(s.Days[3].SumCd) || s.Days[3].HeatCd != 4 {
		t.Errorf("%+v", s.Days)
	}
}

func TestDoubleMethodsNeedADayBeyondTheRange(t *testing.T) {
	r := mustRule(t, degreeday.DoubleSine, "", 5, none)
	days := []weather.Day{extremes(today, 6, 12), extremes(today+1, 8, 14), extremes(today+2, 6, 8)}
	over := civil.Range{First: today, Last: today + 1}
	// Computed by hand: (4 + 5)/2 and (6 + 5)/2.
	if s, err := r.Accumulate(days, over); err != nil || !near(s.TotalCd, 10, within) {
		t.Errorf("%+v, %v", s, err)
	}
	if s, _ := r.Accumulate(days[:2], over); !slices.Equal(s.Missing, []civil.Date{today + 1}) {
		t.Errorf("without the day beyond: missing %v", s.Missing)
	}
}

func TestAnEmptyRangeIsNoHeat(t *testing.T) {
	r := mustRule(t, degreeday.Mean, "", 5, none)
	for _, over := range []civil.Range{{}, {First: today, Last: today - 1}} {
		if s, err := r.Accumulate(run(7, 8), over); err != nil || s.TotalCd != 0 || len(s.Days)+len(s.Missing) != 0 {
			t.Errorf("%s: %+v, %v", over, s, err)
		}
	}
	if s, err := r.Accumulate(nil, civil.Range{First: today, Last: today}); err != nil || len(s.Missing) != 1 {
		t.Errorf("no days: %+v, %v", s, err)
	}
}

func TestDaysOutOfOrderAreRefused(t *testing.T) {
	r := mustRule(t, degreeday.Mean, "", 5, none)
	days := run(7, 8, 9)
	for name, c := range map[string]struct {
		days []weather.Day
		want string
	}{
		"a day before its time": {[]weather.Day{days[0], days[2], days[1]}, "2031-05-04 comes after 2031-05-05: sort the days by date"},
		"a day twice":           {[]weather.Day{days[0], days[1], days[1]}, "2031-05-04 is there twice: keep each day once"},
	} {
		// The fault is told wherever it is, also outside the range.
		if _, err := r.Accumulate(c.days, civil.Range{First: today, Last: today}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

func TestASplitSeasonIsTheSumOfItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRule(t)
		n := rapid.IntRange(1, 40).Draw(t, "days")
		var days []weather.Day
		for i := range n + 1 {
			low, high := drawDay(t)
			d := extremes(today+civil.Date(i), low, high)
			d.MeanC = (low + high) / 2
			if rapid.IntRange(0, 19).Draw(t, "fate") == 0 {
				continue // the day is absent
			}
			days = append(days, d)
		}
		season := civil.Range{First: today, Last: today + civil.Date(n) - 1}
		cut := season.First + civil.Date(rapid.IntRange(0, n).Draw(t, "cut"))
		whole, err1 := r.Accumulate(days, season)
		early, err2 := r.Accumulate(days, civil.Range{First: season.First, Last: cut - 1})
		late, err3 := r.Accumulate(days, civil.Range{First: cut, Last: season.Last})
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
		if !near(whole.KnownCd, early.KnownCd+late.KnownCd, within) || !slices.Equal(whole.Missing, append(early.Missing, late.Missing...)) {
			t.Fatalf("whole %g, parts %g and %g; missing %v, parts %v and %v", whole.KnownCd, early.KnownCd, late.KnownCd, whole.Missing, early.Missing, late.Missing)
		}
		if complete := len(whole.Missing) == 0; complete == math.IsNaN(whole.TotalCd) || complete && !near(whole.TotalCd, early.TotalCd+late.TotalCd, within) {
			t.Fatalf("total %g with %d missing", whole.TotalCd, len(whole.Missing))
		}
		if len(whole.Days) != season.Len() {
			t.Fatalf("%d days of %d", len(whole.Days), season.Len())
		}
	})
}
