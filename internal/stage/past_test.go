package stage_test

import (
	"math"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// even gives days of one temperature, without those that are left out.
func even(first, last civil.Date, c float64, without ...civil.Date) (out []ensemble.Mean) {
	for d := first; d <= last; d++ {
		m := ensemble.Mean{Date: d, MeanC: c}
		for _, w := range without {
			if w == d {
				m.MeanC = math.NaN()
			}
		}
		out = append(out, m)
	}
	return out
}

func year(y int, c float64, without ...civil.Date) []ensemble.Mean {
	return even(civil.Of(y, 1, 1), civil.Of(y, 12, 31), c, without...)
}

// gauss is the CRPS of a Gaussian date, cut at a visit, of what was seen on a
// day after another look before, by the formulae as they stand in the comments:
// Φ from erfc, chances rescaled to what is left, no day between the looks.
func gauss(mean, sd float64, seen, visit, before int) (sum float64) {
	by := func(day int) float64 { return math.Erfc(-(float64(day)+0.5-mean)/sd/math.Sqrt2) / 2 }
	lo := 0.0
	if visit > 0 {
		lo = by(visit)
	}
	for day := range 365 {
		f := 0.0
		if day > visit || visit == 0 {
			f = (by(day) - lo) / (1 - lo)
		}
		if day >= seen {
			f = 1 - f
		} else if day > before {
			f = 0
		}
		sum += f * f
	}
	return sum
}

// lookedDaily is visits that found the stage on 3 May, and not yet the day before.
func lookedDaily() []trail.Report {
	return []trail.Report{came(trail.NotYet, 7, mayDay(2)), came(trail.StageSeen, 7, mayDay(3))}
}

// 2031 has no 29 February: days since 1 January are those of May 3 = 122.
func TestBaselinesOfPastReports(t *testing.T) {
	in := scoring()
	in.Before = map[int][]trail.Report{}
	for y, day := range map[int]civil.Date{2025: civil.Of(2025, 4, 29), 2026: civil.Of(2026, 5, 1), 2027: civil.Of(2027, 5, 3)} { // 118, 120, 122
		in.Before[y] = []trail.Report{came(trail.NotYet, 7, day-1), came(trail.StageSeen, 7, day)}
	}
	in.Before[2027] = []trail.Report{came(trail.NotYet, 7, civil.Of(2027, 4, 30)), came(trail.StageSeen, 7, civil.Of(2027, 5, 5))} // 3 May lies in the middle
	in.Reports = lookedDaily()
	in.Before[2028] = []trail.Report{{Kind: trail.StageSeen, BBCH: 60, Day: civil.Of(2028, 5, 30), At: civil.Of(2028, 5, 30).Midnight()}} // implies bud break, but isn't its day
	s := stage.Scores(in)[0]
	want := gauss(120, 2*math.Sqrt(4.0/3), 122, 0, 121) // by hand: SD of 118 120 122 is 2
	if s.Basis != stage.BasisSeen || s.Past != 3 || math.Abs(s.CRPSMeanDate-want) > 1e-9 {
		t.Errorf("%+v, want a mean date of %.6f", s, want)
	}
	if s.CRPSRegression != s.CRPSMeanDate {
		t.Error("without temperatures the regression is the mean date")
	}

	// A visit before the forecast cuts it and both baselines.
	in.Reports = append([]trail.Report{came(trail.NotYet, 7, mayDay(3)-15)}, in.Reports...)
	if s, want := stage.Scores(in)[0], gauss(120, 2*math.Sqrt(4.0/3), 122, 107, 121); math.Abs(s.CRPSMeanDate-want) > 1e-9 {
		t.Errorf("cut on day 107: %.6f, want %.6f", s.CRPSMeanDate, want)
	}
	// One after it doesn't, but says from when on it may have been reached.
	in.Reports = []trail.Report{came(trail.NotYet, 7, mayDay(1)), came(trail.StageSeen, 7, mayDay(3))}
	if s, want := stage.Scores(in)[0], gauss(120, 2*math.Sqrt(4.0/3), 122, 0, 120); math.Abs(s.CRPSMeanDate-want) > 1e-9 {
		t.Errorf("with two days between visits %.6f, want %.6f", s.CRPSMeanDate, want)
	}
	in.Reports = lookedDaily()

	// 3 days earlier for a degree more: 2031 was 4 °C up to the issue.
	for y, c := range map[int]float64{2025: 3.0 + 2.0/3, 2026: 3, 2027: 3 - 2.0/3} { // so that day = 129 − 3·c
		in.Means = append(in.Means, year(y, c)...)
	}
	in.Means = append(in.Means, year(2031, 4)...)
	spread := 2 * 4.0 / 9
	if s, want := stage.Scores(in)[0], gauss(117, 0.5*math.Sqrt(1+1.0/3+1/spread), 122, 0, 121); math.Abs(s.CRPSRegression-want) > 1e-6 {
		t.Errorf("regression %.6f, want %.6f", s.CRPSRegression, want)
	}
	before := stage.Scores(in)[0]
	for i, m := range in.Means {
		if m.Date >= before.Issued && m.Date.Year() == 2031 {
			in.Means[i].MeanC = 40
		}
	}
	if s := stage.Scores(in)[0]; s != before {
		t.Errorf("temperatures from the day of issue on changed the score:\n%+v\n%+v", s, before)
	}
}

func TestBaselinesOfComputedDates(t *testing.T) {
	in := scoring()
	in.Reports = lookedDaily()
	for y := 2026; y <= 2029; y++ { // 10 °C is 5 °C·d a day: 60 °C·d after the 12th day of March, day 70, in the leap year 2028 day 71
		in.Means = append(in.Means, year(y, 10)...)
	}
	in.Before = map[int][]trail.Report{2029: {{Kind: trail.StageSeen, BBCH: 7, Day: civil.Of(2029, 5, 9), At: civil.Of(2029, 5, 9).Midnight()}}}
	s := stage.Scores(in)[0]
	// By hand: mean 70.25; its squares 3/16 + 9/16 on 3 degrees of freedom are an SD of half a day.
	if want := gauss(70.25, 0.5*math.Sqrt(1.25), 122, 0, 121); s.Basis != stage.BasisComputed || s.Past != 4 || math.Abs(s.CRPSMeanDate-want) > 1e-9 {
		t.Errorf("%+v, want %.6f", s, want)
	}
	for _, row := range []struct {
		name  string
		holes int
		past  int
	}{{"five days missing in a year", 5, 3}, {"six", 6, 0}} {
		var march []civil.Date
		for i := range row.holes {
			march = append(march, civil.Of(2027, 3, 2+2*i))
		}
		in.Means = append(append(year(2026, 10), year(2027, 10, march...)...), year(2029, 10)...)
		if s := stage.Scores(in)[0]; s.Past != row.past {
			t.Errorf("%s: %d past dates, want %d", row.name, s.Past, row.past)
		}
	}
	in.Means = append(append(year(2026, 10), year(2027, 4)...), year(2029, 10)...)
	if s := stage.Scores(in)[0]; s.Basis != stage.BasisNone {
		t.Errorf("a year that never gets there has a date: %+v", s)
	}
}
