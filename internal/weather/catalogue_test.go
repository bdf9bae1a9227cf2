package weather_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// site is where stations are wanted; a station km north of it, m higher.
var site = weather.Place{LatDeg: 61, LonDeg: 25, AltitudeM: 140}

// north is a good station so far north of the site (111.1949 km a degree) and
// so much higher.
func north(km, higherM float64) weather.Candidate {
	return weather.Candidate{
		Place:    weather.Place{LatDeg: site.LatDeg + km/111.1949, LonDeg: site.LonDeg, AltitudeM: site.AltitudeM + higherM},
		Provider: "A", Years: 40, Share: math.NaN(), Thermometer: true,
	}
}

// but gives the station with a change.
func but(s weather.Candidate, change func(*weather.Candidate)) weather.Candidate {
	change(&s)
	return s
}

func TestWhichStationsToTakeAndWhy(t *testing.T) {
	nan := math.NaN()
	ended := func(s *weather.Candidate) { s.Ended, s.Last = true, civil.Of(1986, 6, 30) }
	for _, row := range []struct {
		name    string
		site    weather.Place
		all     []weather.Candidate
		order   []int
		advices []weather.Advice
		why     map[int][]string // by rank: what the sentence says, "!" before what it doesn't
	}{
		{"the nearest at the site's altitude is taken, the next two are substitutes, a fourth is in reserve", site,
			[]weather.Candidate{north(40, 0), north(10, 0), north(30, 0), north(20, 0)}, []int{1, 3, 2, 0},
			[]weather.Advice{weather.Take, weather.Substitute, weather.Substitute, weather.InReserve},
			map[int][]string{
				0: {"of those that measure today it has the least error", "within 1.51 K (10 km away, at the same altitude); near, at the site's height, long (40 years), still reporting"}, // √(1.5²+0.2²), by hand
				1: {"fills in where the first has no reading"}, 3: {"others are better"},
			}},
		{"a near one on a hill comes after a farther one at the same altitude: 200 m are 0.6 K, as 30 km", site,
			[]weather.Candidate{north(5, 200), north(15, 0)}, []int{1, 0}, []weather.Advice{weather.Take, weather.Substitute},
			map[int][]string{0: {"15 km away"}, 1: {"5.0 km away, 200 m higher"}}},
		{"without the site's altitude only the distance counts", weather.Place{LatDeg: 61, LonDeg: 25, AltitudeM: nan},
			[]weather.Candidate{north(5, 400), north(15, 0)}, []int{0, 1}, []weather.Advice{weather.Take, weather.Substitute},
			map[int][]string{0: {"(5.0 km away)", "!altitude"}}},
		{"what measures no more is never taken, however near", site,
			[]weather.Candidate{but(north(1, 0), ended), north(150, 0)}, []int{0, 1}, []weather.Advice{weather.PastOnly, weather.Take},
			map[int][]string{0: {"measures no more, since 1986-06-30", "1.0 km away"}}},
		{"and comes after one that would do", site,
			[]weather.Candidate{but(north(1, 0), ended), north(60, 0)}, []int{1, 0}, []weather.Advice{weather.Take, weather.PastOnly}, nil},
		{"two years of past say less of a usual spring than 20 km do", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years = 2.5 }), north(25, 0)}, []int{1, 0},
			[]weather.Advice{weather.Take, weather.Substitute}, map[int][]string{1: {"only 2 years of past"}}},
		{"a station of this year is said to be one", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years = 0.3 })}, []int{0},
			[]weather.Advice{weather.Take}, map[int][]string{0: {"less than two years of past"}}},
		{"years that aren't known count as ten, which is said", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years = nan }), but(north(5.1, 0), func(s *weather.Candidate) { s.Years = 11 })}, []int{1, 0},
			[]weather.Advice{weather.Take, weather.Substitute}, map[int][]string{1: {"years aren't known and count as 10"}}},
		{"more than thirty years are no better than thirty", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years = 30 }), but(north(5.1, 0), func(s *weather.Candidate) { s.Years = 200 })}, []int{0, 1},
			[]weather.Advice{weather.Take, weather.Substitute}, nil},
		{"half of its days missing halves its years", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years, s.Share = 20, 0.5 }), but(north(5.1, 0), func(s *weather.Candidate) { s.Years = 11 })}, []int{1, 0},
			[]weather.Advice{weather.Take, weather.Substitute}, map[int][]string{1: {"50 % of its days are missing"}}},
		{"a few days missing aren't worth a word", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Share = 0.97 })}, []int{0}, []weather.Advice{weather.Take}, map[int][]string{0: {"!missing", "!complete"}}},
		{"a station that is far, low, young and of which nothing says that it reports has none of the merits", site,
			[]weather.Candidate{but(north(50, -80), func(s *weather.Candidate) { s.Years, s.Thermometer = nan, false })}, []int{0}, []weather.Advice{weather.Take},
			map[int][]string{0: {"!near", "!height", "!long", "!complete", "!reporting"}}},
		{"one with hardly a day missing is complete", site,
			[]weather.Candidate{but(north(50, 60), func(s *weather.Candidate) { s.Share = 0.99 })}, []int{0}, []weather.Advice{weather.Take},
			map[int][]string{0: {"; long (40 years), complete (hardly a day is missing), still reporting", "!near"}}},
		{"where nothing says that there is a thermometer, one 30 km farther that has one is taken", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Thermometer = false }), north(35, 0)}, []int{1, 0},
			[]weather.Advice{weather.Take, weather.Substitute}, map[int][]string{1: {"nothing here says that it measures temperature: look before you take it"}}},
		{"an altitude that isn't known counts as 100 m", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.AltitudeM = nan }), north(5, 99), north(5, -101)}, []int{1, 0, 2},
			[]weather.Advice{weather.Take, weather.Substitute, weather.Substitute}, map[int][]string{1: {"altitude isn't known and counts as 100 m apart"}, 2: {"101 m lower"}}},
		{"beyond 200 km, or 300 m of altitude, nothing is taken", site,
			[]weather.Candidate{north(5, 301), north(201, 0), north(199, 0)}, []int{0, 2, 1},
			[]weather.Advice{weather.TooFar, weather.Take, weather.TooFar}, map[int][]string{0: {"beyond 200 km or 300 m of altitude", "301 m higher"}}},
		{"two providers' stations at one place are one thermometer, and the first named is taken", site,
			[]weather.Candidate{north(5, 0), but(north(5.3, 4), func(s *weather.Candidate) { s.Provider = "B" }), north(40, 0)}, []int{0, 1, 2},
			[]weather.Advice{weather.Take, weather.SamePlace, weather.Substitute}, map[int][]string{1: {"stands where number 1 does and is probably the same thermometer"}}},
		{"what one list doesn't say of a place is learnt from another, and the first list's station is taken", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.AltitudeM, s.Thermometer, s.Years = nan, false, nan }), but(north(4.8, 4), func(s *weather.Candidate) { s.Provider = "B" }), north(9, 0)}, []int{1, 0, 2},
			[]weather.Advice{weather.SamePlace, weather.Take, weather.Substitute}, map[int][]string{
				0: {"stands where number 2 does"}, 1: {"4 m higher", "; what its list doesn't say is from B's station at the same place", "!thermometer"},
			}},
		{"but not how long it measured from one that has ended", site,
			[]weather.Candidate{but(north(5, 0), func(s *weather.Candidate) { s.Years = nan }), but(but(north(5, 0), ended), func(s *weather.Candidate) { s.Provider = "B" })}, []int{0, 1},
			[]weather.Advice{weather.Take, weather.PastOnly}, map[int][]string{0: {"years aren't known"}}},
		{"one provider's stations at one place are two thermometers", site,
			[]weather.Candidate{north(5, 0), north(5.3, 4)}, []int{0, 1}, []weather.Advice{weather.Take, weather.Substitute}, nil},
		{"so are two providers' on a hill and at its foot", site,
			[]weather.Candidate{north(5, 0), but(north(5.3, 60), func(s *weather.Candidate) { s.Provider = "B" })}, []int{0, 1}, []weather.Advice{weather.Take, weather.Substitute}, nil},
		{"what took an ended station's place isn't the same as it", site,
			[]weather.Candidate{but(north(60, 0), ended), but(north(60, 0), func(s *weather.Candidate) { s.Provider, s.Thermometer, s.Years = "B", false, 0.5 })}, []int{1, 0},
			[]weather.Advice{weather.Take, weather.PastOnly}, nil},
		{"equals stay in the order of the lists", site,
			[]weather.Candidate{north(5, 10), north(5, -10), north(5, 10)}, []int{0, 1, 2},
			[]weather.Advice{weather.Take, weather.Substitute, weather.Substitute}, nil},
		{"no stations, no advice", site, nil, nil, nil, nil},
	} {
		got := weather.Catalogue{Site: row.site, Candidates: row.all, Most: 10}.Rank()
		var order []int
		var advices []weather.Advice
		for _, r := range got {
			order, advices = append(order, r.Index), append(advices, r.Advice)
		}
		if !slices.Equal(order, row.order) || !slices.Equal(advices, row.advices) {
			t.Errorf("%s: order %v %q, not %v %q", row.name, order, advices, row.order, row.advices)
			continue
		}
		for rank, texts := range row.why {
			for _, text := range texts {
				unwanted, not := strings.CutPrefix(text, "!")
				if strings.Contains(got[rank].Why, unwanted) == not {
					t.Errorf("%s: number %d: %q; expected %q", row.name, rank+1, got[rank].Why, text)
				}
			}
		}
	}
}

// Whatever the lists hold, the best come first, one at most is taken, and it
// measures and is near.
func TestRankingIsInOrderAndTakesOneNearStation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		maybe := func(v float64, name string) float64 {
			if rapid.Bool().Draw(t, name+" not known") {
				return math.NaN()
			}
			return v
		}
		var c weather.Catalogue
		c.Site = weather.Place{LatDeg: rapid.Float64Range(-90, 90).Draw(t, "lat"), LonDeg: 25, AltitudeM: maybe(100, "site")}
		c.Most = rapid.IntRange(0, 12).Draw(t, "most")
		for range rapid.IntRange(0, 20).Draw(t, "stations") {
			c.Candidates = append(c.Candidates, weather.Candidate{
				Place:    weather.Place{LatDeg: min(90, c.Site.LatDeg+rapid.Float64Range(0, 4).Draw(t, "north")), LonDeg: 25, AltitudeM: maybe(rapid.Float64Range(0, 900).Draw(t, "altitude"), "altitude")},
				Provider: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "provider"), Ended: rapid.Bool().Draw(t, "ended"),
				Years: maybe(rapid.Float64Range(0, 250).Draw(t, "years"), "years"), Share: maybe(rapid.Float64Range(0, 1).Draw(t, "share"), "share"),
				Thermometer: rapid.Bool().Draw(t, "thermometer"),
			})
		}
		got := c.Rank()
		if len(got) != min(c.Most, len(c.Candidates)) {
			t.Fatalf("%d of %d stations, %d wanted", len(got), len(c.Candidates), c.Most)
		}
		taken := 0
		for i, r := range got {
			s := c.Candidates[r.Index]
			if i > 0 && got[i-1].CountedSDC > r.CountedSDC || !(r.ErrSDC >= 0.5) || r.CountedSDC < r.ErrSDC || r.Why == "" {
				t.Fatalf("number %d: %+v after %+v", i+1, r, got[max(0, i-1)])
			}
			if r.Advice != weather.Take {
				continue
			}
			if taken++; taken > 1 || s.Ended || r.DistanceKm > 200 || math.Abs(r.HigherM) > 300 {
				t.Fatalf("number %d is taken: %+v of %+v", i+1, r, s)
			}
		}
	})
}
