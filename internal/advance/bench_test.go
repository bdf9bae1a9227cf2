package advance_test

import (
	"context"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"testing"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/degreeday"
	"budcall/internal/notice"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// memory answers from what a test put into it.
type memory struct {
	days     map[string][]weather.Day
	outlook  []weather.Day
	winds    map[string][]weather.Wind // measured, by station
	foreseen []weather.Wind
	issuedAt time.Time
	reports  []trail.Report
	past     []trail.Report // of earlier seasons
	marked   bool           // nothing of the past will change, so that its mark costs nothing
	calls    map[call.Task]season.State
	returned map[call.Task]time.Time
	untold   []notice.Due
	fail     error
}

func (m *memory) History(_ context.Context, station string, from, to int) ([]weather.Day, error) {
	all := m.days[station]
	at := func(year int) int {
		i, _ := slices.BinarySearchFunc(all, civil.Of(year, 1, 1), func(d weather.Day, day civil.Date) int { return int(d.Date - day) })
		return i
	}
	return all[at(from):at(to+1)], m.fail
}

func (m *memory) Untold(context.Context, string, int) ([]notice.Due, error) { return m.untold, m.fail }

func (m *memory) HistoryMark(_ context.Context, stations []string, before int) (string, error) {
	if m.marked {
		return "as it was", nil
	}
	h := fnv.New64a()
	for _, station := range stations {
		h.Write([]byte(station))
		for _, d := range m.days[station] {
			if d.Date.Year() < before {
				for _, c := range []float64{float64(d.Date), d.MinC, d.MaxC, d.MeanC, float64(len(d.Mark))} {
					h.Write(binary.LittleEndian.AppendUint64(nil, math.Float64bits(c)))
				}
			}
		}
	}
	return fmt.Sprint(h.Sum64()), m.fail
}

func (m *memory) PastReports(_ context.Context, sites []string, before int) ([]trail.Report, error) {
	var out []trail.Report
	for _, r := range m.past {
		if slices.Contains(sites, r.Site) && r.Day.Year() < before {
			out = append(out, r)
		}
	}
	return out, m.fail
}

func (m *memory) PastReportsMark(_ context.Context, before int) (string, error) {
	return fmt.Sprint(len(m.past)), m.fail
}

func (m *memory) Winds(_ context.Context, station string, over civil.Range) (out []weather.Wind, err error) {
	for _, w := range m.winds[station] {
		if w.Date >= over.First && w.Date <= over.Last {
			out = append(out, w)
		}
	}
	return out, m.fail
}

func (m *memory) OutlookWinds(context.Context, string, time.Time) ([]weather.Wind, error) {
	return m.foreseen, m.fail
}

func (m *memory) Outlook(context.Context, string, time.Time) ([]weather.Day, time.Time, error) {
	return m.outlook, m.issuedAt, nil
}

func (m *memory) Reports(context.Context, string, int) ([]trail.Report, error) { return m.reports, nil }

func (m *memory) Calls(context.Context, string, int) (map[call.Task]season.State, error) {
	return m.calls, nil
}

func (m *memory) Returned(context.Context, string, int) (map[call.Task]time.Time, error) {
	return m.returned, nil
}

// The invented spring: 3 °C up to 10 April and 9 °C from the 11th on, so that
// each day from then on has 4 °C·d above 5 °C. Past years are as this one,
// give or take spreadK by turns.
var (
	today  = civil.MustParse("2031-04-21") // a Monday
	spring = civil.MustParse("2031-04-11")
)

func springDay(d civil.Date, shiftK float64) weather.Day {
	c := 3.0
	if at := civil.Of(d.Year(), spring.Month(), spring.Day()); d >= at && d < at+120 {
		c = 9
	}
	c += shiftK
	return weather.Day{Date: d, MinC: c - 4, MaxC: c + 4, MeanC: c}
}

// series is ten past years and the running one through a day.
func series(through civil.Date, spreadK float64) (days []weather.Day) {
	for d := civil.Of(2021, 1, 1); d <= through; d++ {
		shift := 0.0
		if y := d.Year(); y < 2031 {
			shift = spreadK * float64(y%3-1)
		}
		days = append(days, springDay(d, shift))
	}
	return days
}

// bench is a site with one near and one far station, and people.
type bench struct {
	memory *memory
	task   advance.Task
}

func newBench(t testing.TB) *bench {
	t.Helper()
	rule, err := degreeday.NewRule(degreeday.Mean, degreeday.Horizontal, 5, math.NaN())
	if err != nil {
		t.Fatal(err)
	}
	heat := degreeday.Heat{Rule: rule, Start: civil.MonthDay{Month: time.March, Day: 1}}
	var birch stage.Profile
	for _, s := range []stage.Stage{ // the shipped profile's needs, all from 1 March
		{Code: stage.BudSwelling, MedianCd: 25, LogSD: 0.45}, {Code: stage.BudBreak, Name: "bud break", MedianCd: 60, LogSD: 0.30},
		{Code: stage.Flowering, MedianCd: 95, LogSD: 0.22}, {Code: stage.FloweringOver, MedianCd: 210, LogSD: 0.17},
		{Code: stage.SeedRipe, MedianCd: 850, LogSD: 0.08},
	} {
		s.Heat = heat
		birch.Stages = append(birch.Stages, s)
	}
	weekend := season.Weekdays(0).On(time.Saturday).On(time.Sunday)
	p := &config.Programme{
		Profiles: map[string]stage.Profile{"birch": birch}, Coordinator: "maia",
		People: []config.Person{{Code: "otso", Name: "Otso Invented", CanGo: weekend, Zone: time.UTC}, {Code: "maia", Name: "Maia Invented", Phone: "1", Zone: time.UTC}},
		Stations: []config.Station{
			{Code: "NEAR", Name: "Near hut", LatDeg: 60, LonDeg: 25, AltitudeM: 100},
			{Code: "FAR", Name: "Far mill", LatDeg: 61, LonDeg: 25, AltitudeM: 200},
		},
	}
	site := config.Site{
		Code: "HOME", Name: "Kotimäki", LatDeg: 60, LonDeg: 25, AltitudeM: 100, Zone: time.UTC, Profile: "birch", Stations: []string{"NEAR", "FAR"},
		Lead: "otso", Trees: []trail.Tree{{Code: "H-1", Short: "T1"}, {Code: "H-2", Short: "T2"}, {Code: "H-3", Short: "T3", Gone: true}}, Settings: season.Defaults(),
	}
	p.Sites = []config.Site{site}
	return &bench{
		memory: &memory{days: map[string][]weather.Day{"NEAR": series(today-1, 0)}},
		task: advance.Task{
			Programme: p, Site: site, Now: today.In(time.UTC, 17, 0), Evening: true,
			Link: func(person, site string, task call.Task, season int, last civil.Date) (string, civil.Date) {
				return fmt.Sprintf("link of %s to %s at %s %d", person, task, site, season), last + 14
			},
		},
	}
}

func (b *bench) do(t testing.TB) advance.Verdict {
	t.Helper()
	v, err := advance.Site(t.Context(), b.memory, b.task)
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Items) != len(v.Outcome.Owed) {
		t.Fatalf("%d items for %d things owed", len(v.Items), len(v.Outcome.Owed))
	}
	return v
}

// item is what is told about a task.
func item(t testing.TB, v advance.Verdict, task call.Task) notice.Item {
	t.Helper()
	for _, it := range v.Items {
		if it.Task == task {
			return it
		}
	}
	t.Fatalf("nothing is told about %s: %+v", task, v.Outcome.Owed)
	return notice.Item{}
}
