package advance_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

func TestTheGroundsOfACall(t *testing.T) {
	near := func(through civil.Date) []weather.Day { return series(through, 0) }
	for _, row := range []struct {
		sentence string
		change   func(*bench)
		heatCd   float64
		station  string
		reading  string
		km       float64
		higherM  float64
	}{
		// 11 to 20 April are ten days of 4 °C·d (computed by hand).
		{"heat so far is that of the days that are over", func(*bench) {}, 40, "Near hut", "2031-04-20", 0, 0},
		// 200 m up it is 1.3 K colder: ten days of 7.7 − 5 = 2.7 °C·d (computed by hand).
		{"a site above its station is colder by 6.5 K per km", func(b *bench) { b.task.Site.AltitudeM = 300 }, 27, "Near hut", "2031-04-20", 0, 200},
		// Three days of 9 + 0.65 − 5 = 4.65 °C·d from 100 m higher up: 7·4 + 3·4.65 (computed by hand).
		// A degree of latitude on a sphere of 6371 km is π/180·6371 = 111.19 km.
		{"a gap is filled from the next station, which is named, by its altitude where they weren't seen side by side", func(b *bench) {
			b.memory.days["NEAR"], b.memory.days["FAR"] = near(today-4), near(today - 1)[3600:]
		}, 41.95, "Far mill", "2031-04-20", 111.19, -100},
		{"where no station serves heat so far is that of the days read, and the last of them is named", func(b *bench) { b.memory.days["NEAR"] = near(today - 4) }, 28, "Near hut", "2031-04-17", 0, 0},
		{"a reading that is marked isn't used", func(b *bench) {
			days := b.memory.days["NEAR"]
			days[len(days)-1].Mark = weather.OutOfRange
		}, 36, "Near hut", "2031-04-19", 0, 0},
	} {
		b := newBench(t)
		row.change(b)
		w := item(t, b.do(t), call.BagOn).Why
		if math.Abs(w.HeatCd-row.heatCd) > 1e-9 || w.NeedCd != 60 || w.BaseC != 5 || w.Since.String() != "2031-03-01" || w.Stage != stage.BudBreak {
			t.Errorf("%s: %.3f of %v °C·d above %v since %s", row.sentence, w.HeatCd, w.NeedCd, w.BaseC, w.Since)
		}
		if w.Station != row.station || w.Reading.String() != row.reading || math.Abs(w.DistanceKm-row.km) > 0.01 || w.HigherM != row.higherM || w.Forecast {
			t.Errorf("%s: %+v", row.sentence, w)
		}
		now, err := advance.Now(t.Context(), b.memory, b.task)
		if err != nil || math.Abs(now.HeatCd-row.heatCd) > 1e-9 || now.NeedCd != 60 || now.Station != row.station || now.Reading.String() != row.reading {
			t.Errorf("%s: the board says %+v, %v", row.sentence, now, err)
		}
	}
}

// All past years are as this one. With a need of 59 °C·d half of the trees have
// broken bud on the 15th day of 4 °C·d, 25 April. P10 needs
// 59·exp(−1.2816·0.30) = 40.2: the eleventh day, 21 April. P90 needs
// 59·exp(1.2816·0.30) = 86.7: the 22nd, 2 May (computed by hand).
func TestTheForecastByHand(t *testing.T) {
	b := newBench(t)
	b.task.Programme.Profiles["birch"].Stages[1].MedianCd = 59
	v := b.do(t)
	w := item(t, v, call.BagOn).Why
	if got := fmt.Sprint(w.P10, w.P50, w.P90); got != "2031-04-21 2031-04-25 2031-05-02" {
		t.Errorf("bud break %s", got)
	}
	if v.Season != 2031 || v.Today != today || len(v.Issued) != 5 {
		t.Errorf("season %d, today %s, %d forecasts", v.Season, v.Today, len(v.Issued))
	}
	for _, i := range v.Issued {
		if i.Code == stage.BudBreak {
			if p50, _ := i.Days.Quantile(0.5); p50 != w.P50 {
				t.Errorf("issued %s, told %s", p50, w.P50)
			}
		}
	}
}

func TestWhatAPersonIsTold(t *testing.T) {
	b := newBench(t)
	today := civil.MustParse("2031-04-14") // a Monday, a week before it can be too late
	b.task.Now, b.memory.days["NEAR"] = today.In(time.UTC, 17, 0), series(today-1, 0)
	v := b.do(t)
	it := item(t, v, call.BagOn)
	for _, d := range it.CanGo {
		if wd := d.Weekday(); wd != time.Saturday && wd != time.Sunday || !it.Days.Has(d) || d < today {
			t.Errorf("a weekend person is offered %s %s of %s", wd, d, it.Days)
		}
	}
	for d := max(today, it.Days.First); d <= it.Days.Last; d++ {
		if wd := d.Weekday(); (wd == time.Saturday || wd == time.Sunday) && !slices.Contains(it.CanGo, d) {
			t.Errorf("%s %s is missing in %v", wd, d, it.CanGo)
		}
	}
	if len(it.CanGo) == 0 || it.Best != 0 && !slices.Contains(it.CanGo, it.Best) {
		t.Errorf("days %s, possible %v, best %s", it.Days, it.CanGo, it.Best)
	}
	if it.Link != "link of otso to bag on at HOME 2031" || it.Expires != max(it.Days.Last, today)+14 || it.SiteName != "Kotimäki" {
		t.Errorf("%+v", it)
	}
	if want := []notice.TreeNeed{{Code: "H-1", Short: "T1", Selfing: 2, Control: 1}, {Code: "H-2", Short: "T2", Selfing: 2, Control: 1}}; !slices.Equal(it.Trees, want) {
		t.Errorf("trees %+v", it.Trees)
	}
	b.task.Programme.People[0].CanGo = 0
	if it := item(t, b.do(t), call.BagOn); it.CanGo != nil {
		t.Errorf("of a person who can go on any day, days are named: %v", it.CanGo)
	}
	// Told already: the outcome stored, the same day again owes nothing.
	b.memory.calls = b.do(t).Outcome.Calls
	if again := b.do(t); len(again.Items) != 0 || !reflect.DeepEqual(again.Outcome.Calls, b.memory.calls) {
		t.Errorf("the same day again: %+v", again.Outcome.Owed)
	}
}

// A call that comes from somebody else names who was asked, when, and the
// number to ring.
func TestACallThatIsPassedOnTellsFromWhom(t *testing.T) {
	b := newBench(t)
	b.task.Now = today.In(time.UTC, 9, 30)
	b.memory.calls = b.do(t).Outcome.Calls
	if s := b.memory.calls[call.BagOn]; s.AnswerBy.IsZero() {
		t.Fatalf("no answer is waited for: %+v", s)
	}
	b.task.Now = b.memory.calls[call.BagOn].AnswerBy
	b.memory.days["NEAR"] = series(civil.At(b.task.Now)-1, 0)
	it := item(t, b.do(t), call.BagOn)
	if it.Passed == nil || len(it.Passed.From) != 1 || it.Passed.From[0].Name != "Otso Invented" || it.Passed.From[0].Role != "site lead" {
		t.Fatalf("%+v", it.Passed)
	}
	if at := it.Passed.AskedAt[0]; !at.Equal(today.In(time.UTC, 9, 30)) {
		t.Errorf("asked at %s", at)
	}
	if !strings.HasPrefix(it.Link, "link of maia ") {
		t.Errorf("the link is %s", it.Link)
	}
}

func TestWhenAForecastIsUsed(t *testing.T) {
	cold := func(b *bench, age time.Duration) {
		b.task.Site.Forecast = "skies"
		b.memory.days["NEAR"] = series(today-1, 2)
		b.memory.issuedAt = b.task.Now.Add(-age)
		for d := civil.At(b.memory.issuedAt); d < today+10; d++ {
			b.memory.outlook = append(b.memory.outlook, weather.Day{Date: d, MinC: 0, MaxC: 4, MeanC: 2})
		}
	}
	p50 := func(change func(*bench)) (civil.Date, bool) {
		b := newBench(t)
		b.memory.days["NEAR"] = series(today-1, 2)
		change(b)
		w := item(t, b.do(t), call.BagOn).Why
		return w.P50, w.Forecast
	}
	without, _ := p50(func(*bench) {})
	for _, row := range []struct {
		sentence string
		change   func(*bench)
		used     bool
	}{
		{"a fresh one is", func(b *bench) { cold(b, time.Hour) }, true},
		{"one of 48 hours is", func(b *bench) { cold(b, 48*time.Hour) }, true},
		{"an older one isn't", func(b *bench) { cold(b, 48*time.Hour+time.Second) }, false},
		{"nor is one of a site that is to have none", func(b *bench) { cold(b, time.Hour); b.task.Site.Forecast = "" }, false},
		{"none there is none", func(b *bench) { b.task.Site.Forecast = "skies" }, false},
	} {
		got, said := p50(row.change)
		if said != row.used || (got > without) != row.used || !row.used && got != without {
			t.Errorf("%s: said %v, P50 of bud break %s, without %s", row.sentence, said, got, without)
		}
	}
	// The error of a forecast grows from its issue: an old one draws less.
	fresh, _ := p50(func(b *bench) { cold(b, time.Hour) })
	old, _ := p50(func(b *bench) { cold(b, 47*time.Hour) })
	if old > fresh {
		t.Errorf("an old forecast moves bud break to %s, a fresh one to %s", old, fresh)
	}
}

func TestASiteThatCannotBeForecast(t *testing.T) {
	for _, row := range []struct {
		sentence string
		change   func(*bench)
		want     string
	}{
		{"without history", func(b *bench) { b.memory.days = nil }, "give a station with history"},
		{"with this year's readings only", func(b *bench) {
			b.memory.days["NEAR"] = slices.DeleteFunc(b.memory.days["NEAR"], func(d weather.Day) bool { return d.Date.Year() < 2031 })
		}, "give a station with history"},
		{"with a profile that is gone", func(b *bench) { b.task.Site.Profile = "alder" }, "name one of those in profiles/"},
		{"whose stations' altitude is not known", func(b *bench) { b.task.Programme.Stations[0].AltitudeM = math.NaN() }, "give a station with history"},
	} {
		b := newBench(t)
		row.change(b)
		_, err := advance.Site(t.Context(), b.memory, b.task)
		var unfit *advance.Unfit
		if !errors.As(err, &unfit) || unfit.Site != "HOME" || !strings.Contains(err.Error(), "HOME") || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.sentence, err)
		}
	}
	b := newBench(t)
	b.memory.fail = errors.New("the database is away")
	_, err := advance.Site(t.Context(), b.memory, b.task)
	if unfit := (*advance.Unfit)(nil); !errors.Is(err, b.memory.fail) || errors.As(err, &unfit) {
		t.Errorf("a failing memory is held against the site: %v", err)
	}
}

// Nothing from today on that may stand in the memory is looked at.
func TestReadingsOfTodayAndLaterAreNotLookedAt(t *testing.T) {
	b := newBench(t)
	want := b.do(t)
	for d := today; d < today+60; d++ {
		b.memory.days["NEAR"] = append(b.memory.days["NEAR"], weather.Day{Date: d, MinC: 38, MaxC: 42, MeanC: 40})
	}
	if got := b.do(t); !reflect.DeepEqual(got, want) {
		t.Errorf("with a hot future\n%+v\nwant\n%+v", got, want)
	}
}

func TestTheTreesOfAForm(t *testing.T) {
	site := newBench(t).task.Site
	bagged := []trail.Report{{Kind: trail.BagsOn, Tree: "T2", Selfing: 2, Control: 1, Day: today}}
	for _, row := range []struct {
		sentence string
		task     call.Task
		reports  []trail.Report
		want     string
	}{
		{"bagging offers every living tree with what it needs", call.BagOn, nil, "T1 2+1, T2 2+1"},
		{"also those that have their bags, so that a report can be corrected", call.BagOn, bagged, "T1 2+1, T2 0+0"},
		{"taking off offers the trees with bags on", call.TakeOff, bagged, "T2 2+1"},
		{"picking too", call.PickSeed, bagged, "T2 2+1"},
		{"a tree that is off stays, so that a report can be corrected", call.TakeOff, append(slices.Clone(bagged), trail.Report{Kind: trail.BagsOff, Tree: "T2", Day: today + 30}), "T2 0+0"},
		{"the kit is of no tree", call.SendKit, bagged, ""},
	} {
		var got []string
		for _, n := range advance.FormTrees(row.task, site, row.reports, 0) {
			got = append(got, fmt.Sprintf("%s %d+%d", n.Short, n.Selfing, n.Control))
		}
		if strings.Join(got, ", ") != row.want {
			t.Errorf("%s: %v, want %s", row.sentence, got, row.want)
		}
	}
}
