package chart_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/chart"
	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/hindcast"
)

// day is a forecast of one day and half a day to either side.
func oneDay(d civil.Date) ensemble.Days {
	return ensemble.Days{From: d - 1, By: []float64{0.25, 0.75, 1}}
}

// scoredExample is invented scores of an invented series.
func scoredExample() hindcast.Result {
	r := hindcast.Result{Series: "own <trees>", Species: "Betula pendula", Phase: "bud break", Per: hindcast.PerTree, Units: 2, Seasons: 5}
	for i, lead := range []int{42, 21, 14, 7, 3} {
		l := hindcast.Lead{Lead: lead, Ahead: 10, CRPS: 3 - 0.3*float64(i), CRPSMeanDate: 3, CRPSRegression: 3.1, Skill: 0.1 * float64(i), SkillLow: 0.1*float64(i) - 0.2, SkillHigh: 0.1*float64(i) + 0.15, Coverage80: 0.8}
		for k := range l.PIT {
			l.PIT[k] = 0.1 + 0.005*float64(k-4)*float64(i) - 0.0025*float64(i)
		}
		r.Leads = append(r.Leads, l)
		for year := 2026; year <= 2030; year++ {
			for tree := range 2 {
				observed := civil.Of(year, 5, 4+7*(year%3)+2*tree)
				off := civil.Date((year*(i+3)+tree)%5 - 2)
				r.Cases = append(r.Cases, hindcast.Case{Lead: lead, Year: year, Observed: observed, Forecast: oneDay(observed + off), Gone: lead == 3 && year == 2029})
			}
		}
	}
	return r
}

func TestScoresLookAsTheirGoldenFile(t *testing.T) {
	for name, results := range map[string][]hindcast.Result{"scores.svg": {scoredExample()}, "noscores.svg": {{Series: "own", Species: "Alnus", Phase: "leaves", Leads: []hindcast.Lead{{Lead: 7, Gone: 3}}}}} {
		got := chart.Scores(results)
		wellFormed(t, got)
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs; look at it with -update and git diff", path)
		}
	}
}

// What the picture must say, counted in the example.
func TestScoresShowEveryCaseAndLead(t *testing.T) {
	r := scoredExample()
	svg := string(chart.Scores([]hindcast.Result{r, r}))
	for want, n := range map[string]int{
		`class="value"`: 2 * 5, `class="tenth"`: 2 * 5 * 10, `class="case"`: 2 * (5*10 - 2), "own &lt;trees&gt;: 2 trees, 5 seasons": 2,
		"21 days ahead: skill 0.10 against the mean date, error 2.7 days, 80 % inside the 80 % interval.": 2, ">How well 2 series were forecast<": 1,
	} {
		if got := strings.Count(svg, want); got != n {
			t.Errorf("%q is there %d times, want %d", want, got, n)
		}
	}
}

func TestAnyScoresGiveAPictureAndAlwaysTheSame(t *testing.T) {
	wellFormed(t, chart.Scores(nil))
	number := rapid.Custom(func(t *rapid.T) float64 {
		return rapid.SampledFrom([]float64{0, -0.2, 0.5, 1, -7, 1e9, math.NaN(), math.Inf(1), math.Inf(-1), 0.013}).Draw(t, "v")
	})
	rapid.Check(t, func(t *rapid.T) {
		r := hindcast.Result{Series: rapid.String().Draw(t, "series"), Species: rapid.String().Draw(t, "species"), Per: hindcast.PerYear}
		for range rapid.IntRange(0, 9).Draw(t, "leads") {
			lead := rapid.IntRange(0, 300).Draw(t, "lead")
			l := hindcast.Lead{Lead: lead, Ahead: rapid.IntRange(0, 3).Draw(t, "ahead"), Skill: number.Draw(t, "skill"), SkillLow: number.Draw(t, "low"), SkillHigh: number.Draw(t, "high")}
			for k := range l.PIT {
				l.PIT[k] = number.Draw(t, "pit")
			}
			r.Leads = append(r.Leads, l)
			observed := civil.Of(2031, 1, rapid.IntRange(-900, 900).Draw(t, "day"))
			c := hindcast.Case{Lead: lead, Observed: observed}
			if rapid.Bool().Draw(t, "ends") {
				c.Forecast = oneDay(observed + civil.Date(rapid.IntRange(-300, 300).Draw(t, "off")))
			}
			r.Cases = append(r.Cases, c)
		}
		svg := chart.Scores([]hindcast.Result{r})
		wellFormed(t, svg)
		if strings.Contains(string(svg), "NaN") || strings.Contains(string(svg), "Inf") {
			t.Fatalf("%s", svg)
		}
		if !bytes.Equal(svg, chart.Scores([]hindcast.Result{r})) {
			t.Fatalf("drawn twice and differently")
		}
	})
}

func ExampleScores() {
	svg := chart.Scores([]hindcast.Result{scoredExample()})
	fmt.Println(strings.Contains(string(svg), "<title id=\"title\">How well it was forecast: Betula pendula, bud break</title>"))
	// Output: true
}
