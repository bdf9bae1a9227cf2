package weather_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// series makes a station from means, day by day from 1 April: "-" is a day
// without a line, "?" one with a marked reading.
func series(code string, altitudeM, errSDC float64, means string) weather.Series {
	s := weather.Series{Station: code, AltitudeM: altitudeM, ErrSDC: errSDC}
	for i, word := range strings.Fields(means) {
		d := weather.Day{Date: civil.MustParse("2031-04-01") + civil.Date(i), MinC: math.NaN(), MaxC: math.NaN()}
		switch word {
		case "-":
			continue
		case "?":
			d.MeanC, d.Mark = 71, weather.OutOfRange
		default:
			fmt.Sscan(word, &d.MeanC)
		}
		s.Days = append(s.Days, d)
	}
	return s
}

// told writes site days as "station:mean", "*" after a substitute.
func told(days []weather.SiteDay) string {
	var words []string
	for _, d := range days {
		mean, _, ok := d.Day.Mean()
		switch {
		case !ok:
			words = append(words, "-")
		case d.Substitute:
			words = append(words, fmt.Sprintf("%s:%.1f*", d.Station, mean))
		default:
			words = append(words, fmt.Sprintf("%s:%.1f", d.Station, mean))
		}
	}
	return strings.Join(words, " ")
}

func april(days int) civil.Range {
	first := civil.MustParse("2031-04-01")
	return civil.Range{First: first, Last: first + civil.Date(days-1)}
}

func TestTheNearestStationStandsForTheSite(t *testing.T) {
	near := func(means string) weather.Series { return series("near", 100, 0.5, means) }
	far := func(means string) weather.Series { return series("far", 300, 1.2, means) } // 200 m above the site: 1.3 K warmer there
	for _, row := range []struct {
		sentence string
		ranked   []weather.Series
		gap      int
		want     string
	}{
		{"the first station serves while it has readings", []weather.Series{near("1 2 3"), far("5 5 5")}, 5, "near:1.0 near:2.0 near:3.0"},
		{"a hole is filled from the next, carried to the altitude", []weather.Series{near("1 - 3"), far("5 5 5")}, 5, "near:1.0 far:6.3* near:3.0"},
		{"a marked reading is a hole", []weather.Series{near("1 ? 3"), far("5 5 5")}, 5, "near:1.0 far:6.3* near:3.0"},
		{"a substitute serves only so many days in a row", []weather.Series{near("1 - - - 2 -"), far("5 5 5 5 5 5")}, 2, "near:1.0 far:6.3* far:6.3* - near:2.0 far:6.3*"},
		{"days that nobody serves count towards the gap", []weather.Series{near("1 - - -"), far("5 - 5 5")}, 2, "near:1.0 - far:6.3* -"},
		{"no substitutes are wanted", []weather.Series{near("1 - 3"), far("5 5 5")}, 0, "near:1.0 - near:3.0"},
		{"where no station serves the day stays missing", []weather.Series{near("1 - 3"), far("5 - 5")}, 5, "near:1.0 - near:3.0"},
		{"a station of unknown altitude does not serve", []weather.Series{series("lost", math.NaN(), 1, "1 1 1"), far("5 5 5")}, 5, "far:6.3* far:6.3* far:6.3*"},
		{"a site without stations has no weather", nil, 5, "- -"},
	} {
		site := weather.Site{AltitudeM: 100, MaxGapDays: row.gap, Ranked: row.ranked}
		got := site.Fill(april(len(strings.Fields(row.want))))
		if told(got) != row.want {
			t.Errorf("%s:\n got %s\nwant %s", row.sentence, told(got), row.want)
		}
		for _, d := range got {
			if served := d.Station != ""; served == math.IsNaN(d.ErrSDC) {
				t.Errorf("%s: %s has error %v", row.sentence, d.Day.Date, d.ErrSDC)
			}
		}
	}
	if got := (weather.Site{}).Fill(civil.Range{}); len(got) != 0 {
		t.Errorf("an empty range has %d days", len(got))
	}
}

func TestAMethodOfExtremesTakesNoBareMean(t *testing.T) {
	means := series("means", 0, 0.5, "4 4")
	extremes := weather.Series{Station: "extremes", Days: []weather.Day{
		{Date: civil.MustParse("2031-04-01"), MinC: 1, MaxC: 9, MeanC: math.NaN()}}}
	site := weather.Site{Need: weather.NeedExtremes, MaxGapDays: 9, Ranked: []weather.Series{means, extremes}}
	if got := told(site.Fill(april(2))); got != "extremes:5.0* -" {
		t.Error(got)
	}
	site.Need = weather.NeedMean
	if got := told(site.Fill(april(2))); got != "means:4.0 means:4.0" {
		t.Error(got)
	}
}

func TestTheStatedErrorGrowsWithDistanceAndHeight(t *testing.T) {
	// sqrt(1.5² + (0.02·30)² + (0.003·200)²) = sqrt(2.25+0.36+0.36) = 1.72337 (computed by hand)
	if got := weather.ErrorSDC(30, 200); math.Abs(got-1.72337) > 1e-5 {
		t.Errorf("%.5f", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		km, m := rapid.Float64Range(0, 500).Draw(t, "km"), rapid.Float64Range(-1000, 1000).Draw(t, "m")
		e := weather.ErrorSDC(km, m)
		if e < 1.5 || weather.ErrorSDC(km+1, m) <= e || weather.ErrorSDC(km, -m) != e {
			t.Fatalf("%v km, %v m: %v", km, m, e)
		}
	})
}

func TestWhatIsFilledDependsOnNothingLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SampledFrom([]string{"3", "7", "-", "?"})
		a, b := rapid.SliceOfN(word, 20, 20).Draw(t, "near"), rapid.SliceOfN(word, 20, 20).Draw(t, "far")
		cut := rapid.IntRange(1, 20).Draw(t, "cut")
		fill := func(n int) string {
			site := weather.Site{MaxGapDays: 3, Ranked: []weather.Series{
				series("near", 0, 0.5, strings.Join(a[:n], " ")), series("far", 0, 1, strings.Join(b[:n], " "))}}
			return told(site.Fill(april(cut)))
		}
		if early, late := fill(cut), fill(20); early != late {
			t.Fatalf("known then %s\nknown later %s", early, late)
		}
	})
}
