package pull_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// valley is three years of three stations up to 19 April 2031, the day before
// the test's morning: S is colder than N by 1 K and than M by 2 K.
func valley() map[string][]weather.Day {
	chance := rand.New(rand.NewPCG(1, 2))
	out := map[string][]weather.Day{}
	weatherK := 0.0
	for d := civil.MustParse("2028-04-01"); d < civil.At(morning); d++ {
		weatherK = 0.7*weatherK + 3*chance.NormFloat64()
		for k, code := range []string{"MET", "N", "M"} {
			c := math.Round(10*(5-12*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365.25)+weatherK+float64(k)+0.6*chance.NormFloat64())) / 10
			out[code] = append(out[code], weather.Day{Date: d, MinC: c - 4, MaxC: c + 4, MeanC: c})
		}
	}
	return out
}

// among lets the job of a bench know a valley but for the last n days of its
// own station, which are what the source brings.
func (b *bench) among(series map[string][]weather.Day, n int) (brings []weather.Day) {
	own := series["MET"]
	brings = slices.Clone(own[len(own)-n:])
	series["MET"] = own[:len(own)-n]
	b.order.Neighbours, b.order.Critical = []string{"N", "M"}, true
	b.Past = func(_ context.Context, code string, first, last int) ([]weather.Day, error) {
		return slices.DeleteFunc(slices.Clone(series[code]), func(d weather.Day) bool {
			return d.Date.Year() < first || d.Date.Year() > last
		}), nil
	}
	return brings
}

func table(days []weather.Day) string {
	s := header
	for _, d := range days {
		s += fmt.Sprintf("%s,%.1f,%.1f,%.1f\n", d.Date, d.MinC, d.MaxC, d.MeanC)
	}
	return s
}

func TestADayIsComparedWithItsNeighbours(t *testing.T) {
	b := newBench()
	brings := b.among(valley(), 3)
	brings[1].MinC, brings[1].MaxC, brings[1].MeanC = brings[1].MinC+9, brings[1].MaxC+9, brings[1].MeanC+9
	b.says(table(brings))
	h := b.do(t)
	if got := words(h.Days); strings.Count(got, "neighbours") != 1 || h.Days[1].Mark != weather.UnlikeNeighbours || math.Abs(h.Days[1].MeanC-brings[1].MeanC) > 1e-9 {
		t.Errorf("stored %s", got)
	}
	told := b.troubles["station:MET doubt"]
	for _, part := range []string{"2031-04-18 of MET isn't used: ", fmt.Sprintf("mean %.1f °C, expected ", brings[1].MeanC), "N", "M"} {
		if !strings.Contains(told, part) {
			t.Errorf("the ops person is told %q, without %q", told, part)
		}
	}
}

// Elsewhere a doubt is marked; near a call's days it is told, with both readings.
func TestADoubtIsToldOnlyWhereMuchHangsOnIt(t *testing.T) {
	for _, row := range []struct {
		sentence string
		critical bool
		spoil    func(*weather.Day)
		mark     weather.Mark
		told     []string
	}{
		{"far from a call's days a spike is only marked", false, func(d *weather.Day) { d.MinC, d.MaxC, d.MeanC = d.MinC+12, d.MaxC+12, d.MeanC+12 }, weather.UnlikeNeighbours, nil},
		{"near them it is told with its reading and what is expected", true, func(d *weather.Day) { d.MinC, d.MaxC, d.MeanC = d.MinC+12, d.MaxC+12, d.MeanC+12 }, weather.UnlikeNeighbours, []string{"2031-04-18 of MET isn't used: ", "expected ", "by N and M"}},
		{"far from them a day that can't be is only marked", false, func(d *weather.Day) { d.MinC, d.MaxC = d.MaxC, d.MinC }, weather.MinAboveMax, nil},
		{"near them it is told with what the neighbours read", true, func(d *weather.Day) { d.MinC, d.MaxC = d.MaxC, d.MinC }, weather.MinAboveMax, []string{"2031-04-18 of MET isn't used: min above max: minimum ", "the neighbours' mean that day: N ", ", M "}},
	} {
		b := newBench()
		brings := b.among(valley(), 3)
		row.spoil(&brings[1])
		b.order.Critical = row.critical
		b.says(table(brings))
		if h := b.do(t); h.Days[1].Mark != row.mark {
			t.Errorf("%s: stored %s", row.sentence, words(h.Days))
		}
		told := b.troubles["station:MET doubt"]
		if (told != "") != (row.told != nil) {
			t.Errorf("%s: told %q", row.sentence, told)
		}
		for _, part := range row.told {
			if !strings.Contains(told, part) {
				t.Errorf("%s: told %q, without %q", row.sentence, told, part)
			}
		}
	}
}

func TestThePastIsJudgedAsAWholeAndNobodyIsTold(t *testing.T) {
	b := newBench()
	brings := b.among(valley(), 400)
	brings[200].MinC, brings[200].MaxC, brings[200].MeanC = brings[200].MinC+12, brings[200].MaxC+12, brings[200].MeanC+12
	b.order.BackFill = true
	b.says(table(brings))
	h := b.do(t)
	for i, d := range h.Days {
		if want := i == 200; d.Mark.ByComparison() != want {
			t.Errorf("%s is marked %q", d.Date, d.Mark)
		}
	}
	if len(h.Days) != 400 || len(b.troubles) != 0 {
		t.Errorf("%d days, told %v", len(h.Days), b.troubles)
	}
}

func TestGoodDaysAreLeftAlone(t *testing.T) {
	b := newBench()
	b.says(table(b.among(valley(), 3)))
	if h := b.do(t); strings.Count(words(h.Days), " ") != 5 || len(h.Days) != 3 || len(b.troubles) > 0 {
		t.Errorf("stored %s, told %v", words(h.Days), b.troubles)
	}
}

// What is wrong for days shows after days: stored ones are marked then, and
// come right again when a correction says otherwise.
func TestStoredDaysAreMarkedWhenItShows(t *testing.T) {
	b := newBench()
	series := valley()
	n := len(series["MET"])
	for i := n - 20; i < n; i++ {
		d := &series["MET"][i]
		d.MinC, d.MaxC, d.MeanC = d.MinC+5, d.MaxC+5, d.MeanC+5
	}
	b.says(table(b.among(series, 1)))
	h := b.do(t)
	marked := 0
	for _, d := range h.Days {
		if d.Mark.ByComparison() {
			marked++
		}
	}
	if marked < 18 || h.Days[0].Date != h.Days[len(h.Days)-1].Date-civil.Date(len(h.Days)-1) {
		t.Errorf("%d of 20 days are marked: %s", marked, words(h.Days))
	}
	if h.Source.Newest != civil.MustParse("2031-04-19") {
		t.Errorf("newest %s", h.Source.Newest)
	}
	// The marks are stored, and the source sends the days 5 K colder: they are good again.
	stored := series["MET"]
	at := map[civil.Date]int{}
	for i, d := range stored {
		at[d.Date] = i
	}
	var corrected []weather.Day
	for _, d := range h.Days {
		if i, ok := at[d.Date]; ok {
			stored[i] = d
		}
		corrected = append(corrected, weather.Day{Date: d.Date, MinC: d.MinC - 5, MaxC: d.MaxC - 5, MeanC: d.MeanC - 5})
	}
	b.says(table(corrected))
	again := b.do(t)
	for _, d := range again.Days {
		if d.Mark != weather.Usable {
			t.Errorf("after the correction %s is marked %s", d.Date, d.Mark)
		}
	}
	if len(again.Days) < 18 || len(b.troubles) > 0 {
		t.Errorf("%d days, still told %v", len(again.Days), b.troubles)
	}
}

// The neighbour's reading of the day comes after the station's own.
func TestANeighboursLateReadingIsWaitedFor(t *testing.T) {
	b := newBench()
	series := valley()
	last := len(series["N"]) - 1
	late := map[string]weather.Day{"N": series["N"][last], "M": series["M"][last]}
	series["N"], series["M"] = series["N"][:last], series["M"][:last]
	brings := b.among(series, 1)
	brings[0].MinC, brings[0].MaxC, brings[0].MeanC = brings[0].MinC+9, brings[0].MaxC+9, brings[0].MeanC+9
	b.says(table(brings))
	if h := b.do(t); len(h.Days) != 1 || h.Days[0].Mark != weather.Usable {
		t.Fatalf("alone it's within what its season allows, yet: %s", words(h.Days))
	}
	series["MET"] = append(series["MET"], brings[0])
	if h := b.do(t); len(h.Days) != 0 {
		t.Errorf("nothing new: %s", words(h.Days))
	}
	for code, d := range late {
		series[code] = append(series[code], d)
		b.memory.sources["station:"+code] = weather.Source{Name: "station:" + code, Newest: d.Date}
	}
	h := b.do(t)
	if len(h.Days) != 1 || h.Days[0].Mark != weather.UnlikeNeighbours || b.troubles["station:MET doubt"] == "" {
		t.Errorf("once the neighbours have reported: %s, told %v", words(h.Days), b.troubles)
	}
}
