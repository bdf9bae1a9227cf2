package weather_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// change does something to the days of a station from a day on, for some days.
type change func(series map[string][]weather.Day, at int)

// warmer makes some stations warmer (or colder) by an amount.
func warmer(k float64, n int, stations ...string) change {
	return func(series map[string][]weather.Day, at int) {
		for _, s := range stations {
			for i := at; i < at+n; i++ {
				d := &series[s][i]
				d.MinC, d.MaxC, d.MeanC = d.MinC+k, d.MaxC+k, d.MeanC+k
			}
		}
	}
}

// only leaves some stations, and of those some elements.
func only(keep func(d *weather.Day), stations ...string) change {
	return func(series map[string][]weather.Day, _ int) {
		for s, days := range series {
			if !slices.Contains(stations, s) {
				delete(series, s)
				continue
			}
			for i := range days {
				keep(&days[i])
			}
		}
	}
}

func both(changes ...change) change {
	return func(series map[string][]weather.Day, at int) {
		for _, c := range changes {
			c(series, at)
		}
	}
}

func asIs(*weather.Day)           {}
func meanOnly(d *weather.Day)     { d.MinC, d.MaxC = none, none }
func extremesOnly(d *weather.Day) { d.MeanC = none }
func wholeDegrees(d *weather.Day) {
	d.MinC, d.MaxC = math.Round(d.MinC), math.Round(d.MaxC)
	d.MeanC = math.Round(d.MeanC)
}

func repeat(n int, station string) change {
	return func(series map[string][]weather.Day, at int) {
		for i := at + 1; i < at+n; i++ {
			date := series[station][i].Date
			series[station][i] = series[station][at]
			series[station][i].Date = date
		}
	}
}

var everyone = []string{"S1", "S2", "S3", "S4", "S5", "S6"}

func TestWhatAWatchMakesOfAStretch(t *testing.T) {
	const at = 5*365 + 130 // a day in May of the sixth year
	for _, row := range []struct {
		sentence string
		do       change
		days     int    // that are looked at from there on
		want     string // marks given in them by station and number of days; empty: none
	}{
		{"an ordinary fortnight", only(asIs, everyone...), 14, ""},
		{"a heat wave of 12 K that all stations have", warmer(12, 6, everyone...), 14, ""},
		{"a cold snap of 15 K overnight", warmer(-15, 4, everyone...), 14, ""},
		{"foehn that reaches four of six for a day", warmer(10, 1, "S1", "S3", "S4", "S6"), 14, ""},
		{"foehn that reaches two of six for a day", warmer(10, 1, "S2", "S5"), 14, ""},
		{"a cold pool of 7 K for six days over three low stations", warmer(-7, 6, "S1", "S2", "S3"), 14, ""},
		{"one station 10 K too warm", warmer(10, 1, "S2"), 14, "S2 unlike its neighbours 1"},
		{"the same where neighbours are missing", both(only(asIs, "S1", "S2", "S3"), warmer(10, 1, "S2")), 14, "S2 unlike its neighbours 1"},
		{"two broken ones of six, each otherwise", both(warmer(12, 1, "S2"), warmer(-12, 1, "S4")), 14, "S2 unlike its neighbours 1, S4 unlike its neighbours 1"},
		{"of two stations the one that jumps is doubted", both(only(asIs, "S1", "S2"), warmer(25, 1, "S2")), 3, "S2 unlike its neighbours 1"},
		{"a station of means only", both(only(meanOnly, everyone...), warmer(10, 1, "S2")), 14, "S2 unlike its neighbours 1"},
		{"stations of extremes only", both(only(extremesOnly, everyone...), warmer(10, 1, "S2")), 14, "S2 unlike its neighbours 1"},
		{"whole degrees", both(only(wholeDegrees, everyone...), warmer(10, 1, "S2")), 14, "S2 unlike its neighbours 1"},
		{"a station alone has its own past: the day before", both(only(asIs, "S1"), warmer(-27, 1, "S1")), 1, "S1 jump 1"},
		{"and its season", both(only(asIs, "S1"), warmer(-40, 1, "S1")), 1, "S1 unlike the season 1"},
		{"a station alone keeps its heat wave", both(only(asIs, "S1"), warmer(10, 6, "S1")), 14, ""},
		{"five days the same, the first of which may be right", repeat(5, "S4"), 14, "S4 stuck 4"},
		{"three days the same are chance", repeat(3, "S4"), 3, ""},
		{"4 days of one mean are chance where there is nothing else", both(only(meanOnly, "S4"), repeat(4, "S4")), 4, ""},
		{"a week of one mean isn't", both(only(meanOnly, "S4"), repeat(7, "S4")), 7, "S4 stuck 6"},
		{"weather that stands still everywhere", both(repeat(5, "S1"), repeat(5, "S2"), repeat(5, "S3"), repeat(5, "S4"), repeat(5, "S5"), repeat(5, "S6")), 5, ""},
		{"a sensor that stands 5 K too warm from a day on", warmer(5, 40, "S3"), 40, "S3 drifted from neighbours 36, S3 unlike its neighbours 4"},
		{"values a day late for five weeks", func(s map[string][]weather.Day, at int) {
			for i := at + 34; i >= at; i-- {
				date := s["S3"][i].Date
				s["S3"][i] = s["S3"][i-1]
				s["S3"][i].Date = date
			}
		}, 35, "S3 another day's values 24 to 35"},
	} {
		series := invented(6, 7)
		row.do(series, at)
		if got := marksIn(series, at, row.days); !agrees(got, row.want) {
			t.Errorf("%s:\n got %s\nwant %s", row.sentence, got, row.want)
		}
	}
}

// In winter a stretch in °F has no value that couldn't be one in °C.
func TestAStretchInFahrenheit(t *testing.T) {
	const at = 5*365 + 60 // 2 March
	series := invented(6, 7)
	for i := at; i < at+5; i++ {
		d := &series["S3"][i]
		d.MinC, d.MaxC, d.MeanC = d.MinC*1.8+32, d.MaxC*1.8+32, d.MeanC*1.8+32
	}
	if got := marksIn(series, at, 5); got != "S3 days in °F 5" {
		t.Error(got)
	}
}

// marksIn counts the days that are marked in the end, by station and mark.
func marksIn(series map[string][]weather.Day, at, n int) string {
	first := civil.MustParse("2001-01-01") + civil.Date(at)
	marks := map[string]weather.Mark{}
	for _, v := range (planting{Series: series}).watch().Since(0) {
		if v.Date >= first && v.Date < first+civil.Date(n) {
			marks[v.Station+" "+v.Date.String()] = v.Mark
		}
	}
	count := map[string]int{}
	for key, m := range marks {
		if m != weather.Usable {
			count[strings.Fields(key)[0]+" "+string(m)]++
		}
	}
	var out []string
	for k, n := range count {
		out = append(out, fmt.Sprint(k, " ", n))
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

// agrees compares, with "a to b" for a number.
func agrees(got, want string) bool {
	head, upTo, ranged := strings.Cut(want, " to ")
	if !ranged {
		return got == want
	}
	i := strings.LastIndex(head, " ")
	j := strings.LastIndex(got, " ")
	if j < 0 || got[:j] != head[:i] {
		return false
	}
	var low, high, n int
	fmt.Sscan(head[i:], &low)
	fmt.Sscan(upTo, &high)
	fmt.Sscan(got[j:], &n)
	return n >= low && n <= high
}

func TestAVerdictSaysValueExpectationAndNeighbours(t *testing.T) {
	series := invented(3, 6)
	at := 5*365 + 130
	warmer(12, 1, "S2")(series, at)
	day := series["S2"][at].Date
	for _, v := range (planting{Series: series}).watch().Since(day) {
		if v.Station != "S2" || v.Date != day {
			continue
		}
		value := fmt.Sprintf("mean %.1f °C, expected ", series["S2"][at].MeanC)
		for _, part := range []string{value, " ± ", "S1 and S3", "S3 and S1", "K too warm"} {
			if !strings.Contains(v.Reason, part) && !strings.Contains(part, " and ") {
				t.Errorf("%q doesn't say %q", v.Reason, part)
			}
		}
		if !strings.Contains(v.Reason, "S1") || !strings.Contains(v.Reason, "S3") || v.Found != day {
			t.Errorf("%q, found %s", v.Reason, v.Found)
		}
		return
	}
	t.Error("nothing was found")
}

// What is found by a day hangs on nothing that comes later.
func TestAWatchKnowsNothingOfTheFuture(t *testing.T) {
	series := invented(4, 4)
	chance := rand.New(rand.NewPCG(3, 4))
	for range 12 {
		warmer(10, 1+chance.IntN(20), everyone[chance.IntN(4)])(series, 500+chance.IntN(900))
	}
	whole := (planting{Series: series}).watch().Since(0)
	for _, cut := range []int{600, 801, 1200} {
		part := map[string][]weather.Day{}
		for s, days := range series {
			part[s] = days[:cut]
		}
		last := series["S1"][cut-1].Date
		known := slices.DeleteFunc(slices.Clone(whole), func(v weather.Verdict) bool { return v.Found > last })
		if got := (planting{Series: part}).watch().Since(0); fmt.Sprint(got) != fmt.Sprint(known) {
			t.Errorf("known by %s: %d verdicts, with what came later %d", last, len(got), len(known))
		}
	}
	if len(whole) < 30 {
		t.Errorf("only %d verdicts: the test shows nothing", len(whole))
	}
}

func TestAWatchTakesAnySeries(t *testing.T) {
	if got := (weather.Watch{}).Since(0); len(got) != 0 {
		t.Errorf("nothing gave %v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.SampledFrom([]float64{none, math.Inf(1), -70, -30, -5, 0, 5, 5, 5, 12, 25, 49})
		var w weather.Watch
		for s := range rapid.IntRange(0, 4).Draw(t, "stations") {
			one := weather.Series{Station: fmt.Sprint(s)}
			date := civil.MustParse("2031-01-01") + civil.Date(rapid.IntRange(0, 50).Draw(t, "from"))
			for range rapid.IntRange(0, 200).Draw(t, "days") {
				date += civil.Date(rapid.IntRange(1, 3).Draw(t, "gap"))
				one.Days = append(one.Days, weather.Day{Date: date, MinC: value.Draw(t, "min"), MaxC: value.Draw(t, "max"), MeanC: value.Draw(t, "mean")})
			}
			w.Series = append(w.Series, one)
		}
		for _, v := range slices.Concat(w.Since(0), w.InHindsight()) {
			if v.Reason == "" || v.Found < v.Date || strings.Contains(v.Reason, "NaN") {
				t.Fatalf("%+v", v)
			}
		}
	})
}

// Whoever of the series comes first, the verdicts are the same.
func TestTheOrderOfStationsDoesNotMatter(t *testing.T) {
	series := invented(4, 4)
	warmer(9, 1, "S2")(series, 800)
	warmer(5, 60, "S3")(series, 900)
	w := (planting{Series: series}).watch()
	sorted := func(vs []weather.Verdict) string {
		var out []string
		for _, v := range vs {
			out = append(out, fmt.Sprint(v.Found, v.Date, v.Station, v.Mark))
		}
		slices.Sort(out)
		return strings.Join(out, "\n")
	}
	want := sorted(w.Since(0))
	slices.Reverse(w.Series)
	if got := sorted(w.Since(0)); got != want || len(got) == 0 {
		t.Errorf("forwards\n%s\nbackwards\n%s", want, got)
	}
}
