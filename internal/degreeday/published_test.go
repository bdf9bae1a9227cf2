package degreeday_test

import (
	"testing"

	"budcall/internal/degreeday"
	"budcall/internal/weather"
)

// example is one published or computed value of testdata/published.csv, in the
// unit of its source.
type example struct {
	source, page        string
	method, cutoff      string
	day, next           weather.Day
	base, upper         float64
	expected, tolerance float64
	degree              float64 // °C of one degree of the unit
}

// TestPublishedExamples holds every method to the worked examples that were
// found in print and to values computed beforehand from the cited formulae.
func TestPublishedExamples(t *testing.T) {
	covered := map[string]bool{}
	for _, e := range published(t) {
		t.Run(e.page+" "+e.method+" "+e.cutoff, func(t *testing.T) {
			r := mustRule(t, degreeday.Method(e.method), degreeday.Cutoff(e.cutoff), e.base, e.upper)
			got, ok := r.Day(e.day, e.next)
			if !ok || !near(got, e.expected, e.tolerance) {
				t.Errorf("%s, %s: %g to %g °C gives %.5f °C·d (%v), want %.5f ± %.5f (in the source's degrees %.4f, want %.4f)",
					e.source, e.page, e.day.MinC, e.day.MaxC, got, ok, e.expected, e.tolerance, got/e.degree, e.expected/e.degree)
			}
		})
		covered[e.method+" "+e.cutoff] = true
	}
	for _, m := range degreeday.Methods {
		if !covered[string(m)+" "] && !covered[string(m)+" horizontal"] {
			t.Errorf("no published or computed value holds %s", m)
		}
	}
}

// TestThreeDaysOfAColumnAddUp: 25.5 + 11 + 6.5 = 43 °F·d, the sum printed in
// the extension column of the Waushara Argus, 25 April 2018.
func TestThreeDaysOfAColumnAddUp(t *testing.T) {
	r := mustRule(t, degreeday.Average2, degreeday.Horizontal, fahrenheit(50), fahrenheit(86))
	sum := heat(t, r, fahrenheit(65), fahrenheit(90)) + heat(t, r, fahrenheit(46), fahrenheit(72)) + heat(t, r, fahrenheit(42), fahrenheit(63))
	if !near(sum*9/5, 43, 1e-9) {
		t.Errorf("the three days sum to %g °F·d, want 43", sum*9/5)
	}
}

func published(t *testing.T) []example {
	t.Helper()
	var out []example
	for i, rec := range records(t, "testdata/published.csv") {
		if rec["source"] == "" || rec["page"] == "" {
			t.Fatalf("testdata/published.csv: row %d has no source or place: no value without one", i+1)
		}
		temperature, degree := func(s string) float64 { return number(t, s) }, 1.0
		switch rec["unit"] {
		case "C":
		case "F":
			temperature, degree = func(s string) float64 { return fahrenheit(number(t, s)) }, 5.0/9
		default:
			t.Fatalf("testdata/published.csv: row %d: unit %q", i+1, rec["unit"])
		}
		next := weather.Missing(today + 1)
		next.MinC = temperature(rec["next_min"])
		out = append(out, example{
			source: rec["source"], page: rec["page"], method: rec["method"], cutoff: rec["cutoff"],
			day:  weather.Day{Date: today, MinC: temperature(rec["min"]), MaxC: temperature(rec["max"]), MeanC: temperature(rec["mean"])},
			next: next, base: temperature(rec["base"]), upper: temperature(rec["upper"]),
			expected: degree * number(t, rec["expected"]), tolerance: degree * number(t, rec["tolerance"]), degree: degree,
		})
	}
	return out
}

// fahrenheit converts a temperature; a difference or a degree day scales by 5/9.
func fahrenheit(f float64) float64 { return (f - 32) * 5 / 9 }
