package advance_test

import (
	"context"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/advance"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// roughBench is a bench on thirty past springs, on 1 April.
func roughBench(t testing.TB) *bench {
	b := newBench(t)
	at := civil.MustParse("2031-04-01")
	b.task.Now = at.In(b.task.Site.Zone, 17, 0)
	b.memory.days["NEAR"] = rough(at - 1)
	return b
}

// median is the day on which half of the trees have reached a stage.
func median(t testing.TB, b *bench, code stage.BBCH) civil.Date {
	t.Helper()
	for _, i := range b.do(t).Issued {
		if i.Code == code {
			day, ok := i.Days.Quantile(0.5)
			if !ok {
				t.Fatalf("stage %s isn't reached", code)
			}
			return day
		}
	}
	t.Fatalf("stage %s isn't forecast", code)
	return 0
}

// other adds a site at the same station, of which reports may come.
func (b *bench) other(code string) {
	s := b.task.Site
	s.Code = code
	b.task.Programme.Sites = append(b.task.Programme.Sites, s)
}

func TestPastReportsMoveTheForecast(t *testing.T) {
	without := median(t, roughBench(t), stage.BudBreak)
	flowers := median(t, roughBench(t), stage.Flowering)
	for _, row := range []struct {
		sentence string
		change   func(*bench)
		leaves   [2]civil.Date // by how many days bud break moves, at least and at most
		flowers  [2]civil.Date
	}{
		// reported() has plants that need e^0.2 = 22 % more than the profile says.
		{"own seasons that needed more make it later", func(b *bench) { b.memory.past = reported("HOME", b.memory.days["NEAR"], 6) }, [2]civil.Date{1, 5}, [2]civil.Date{1, 6}},
		{"other sites' too, but less", func(b *bench) {
			b.other("AWAY")
			b.memory.past = reported("AWAY", b.memory.days["NEAR"], 6)
		}, [2]civil.Date{0, 3}, [2]civil.Date{0, 4}},
		{"those of a site with another profile don't", func(b *bench) {
			b.other("AWAY")
			b.task.Programme.Sites[1].Profile = "alder"
			b.memory.past = reported("AWAY", b.memory.days["NEAR"], 6)
		}, [2]civil.Date{0, 0}, [2]civil.Date{0, 0}},
		{"a stage that was only found not yet there has no date", func(b *bench) {
			b.memory.past = []trail.Report{{Kind: trail.NotYet, Site: "HOME", BBCH: 7, Day: civil.MustParse("2030-04-01")}}
		}, [2]civil.Date{0, 0}, [2]civil.Date{0, 0}},
		{"flowers alone say something of buds", func(b *bench) {
			b.memory.past = slices.DeleteFunc(reported("HOME", b.memory.days["NEAR"], 6), func(r trail.Report) bool { return r.BBCH != 60 })
		}, [2]civil.Date{0, 3}, [2]civil.Date{1, 6}},
	} {
		b := roughBench(t)
		row.change(b)
		if by := median(t, b, stage.BudBreak) - without; by < row.leaves[0] || by > row.leaves[1] {
			t.Errorf("%s: bud break moves by %d days", row.sentence, by)
		}
		if by := median(t, b, stage.Flowering) - flowers; by < row.flowers[0] || by > row.flowers[1] {
			t.Errorf("%s: flowering moves by %d days", row.sentence, by)
		}
	}
}

// A new site goes by what other sites need; a season or two of its own say more
// of it than all of theirs.
func TestASiteIsPooledWithOthers(t *testing.T) {
	days := rough(civil.MustParse("2031-03-31"))
	home := func(change func(*bench)) float64 {
		b := roughBench(t)
		for _, code := range []string{"A", "B", "C"} {
			b.other(code)
			b.memory.past = append(b.memory.past, reported(code, days, 8)...)
		}
		change(b)
		return chance(t, b, stage.BudBreak, civil.MustParse("2031-05-08"))
	}
	none := chance(t, roughBench(t), stage.BudBreak, civil.MustParse("2031-05-08"))
	pooled := home(func(*bench) {})
	// Its own seasons needed as little as the profile says, 20 % less than elsewhere.
	own := home(func(b *bench) {
		for y := 2029; y < 2031; y++ {
			var sum float64
			for _, d := range days {
				if d.Date >= civil.Of(y, 3, 1) && d.Date.Year() == y {
					if sum += max(0, d.MeanC-5); sum >= 60 {
						b.memory.past = append(b.memory.past, trail.Report{Kind: trail.NotYet, Site: "HOME", BBCH: 7, Day: d.Date - 1}, trail.Report{Kind: trail.StageSeen, Site: "HOME", BBCH: 7, Day: d.Date})
						break
					}
				}
			}
		}
	})
	if pooled > none-0.05 || own < pooled+0.02 || own > none {
		t.Errorf("by 8 May bud break has a chance of %.3f without reports, %.3f by others', %.3f with own ones", none, pooled, own)
	}
}

func TestThisSeasonsReportsMoveOtherStages(t *testing.T) {
	for _, row := range []struct {
		sentence string
		reports  []trail.Report
		later    bool
	}{
		{"bud break long not yet there makes flowers later", []trail.Report{{Kind: trail.NotYet, BBCH: 7, Day: today - 1}}, true},
		{"bud break seen early makes flowers earlier", []trail.Report{{Kind: trail.NotYet, BBCH: 7, Day: today - 9}, {Kind: trail.StageSeen, BBCH: 7, Day: today - 7}}, false},
	} {
		b := newBench(t)
		// 44 °C·d by the day before: 60 °C·d aren't reached, so that "not yet" says a little, and
		// "seen a week ago" (8 to 12 °C·d) much.
		b.memory.days["NEAR"] = series(today-1, 2)
		before := chance(t, b, stage.Flowering, today+12)
		b.memory.reports = row.reports
		if after := chance(t, b, stage.Flowering, today+12); (after < before) != row.later || after == before {
			t.Errorf("%s: by %s the chance of flowering was %.3f and became %.3f", row.sentence, today+12, before, after)
		}
	}
}

func chance(t testing.TB, b *bench, code stage.BBCH, day civil.Date) float64 {
	t.Helper()
	for _, i := range b.do(t).Issued {
		if i.Code == code {
			return i.Days.On(day)
		}
	}
	t.Fatalf("stage %s isn't forecast", code)
	return 0
}

// Two dates are no mean date, three are; a month before it the forecast is
// drawn towards it, within a fortnight it isn't.
func TestFarAheadTheForecastIsDrawnToTheMeanDate(t *testing.T) {
	june := func(year int) trail.Report { // far later than any heat says
		return trail.Report{Kind: trail.StageSeen, Site: "HOME", BBCH: 89, Day: civil.Of(year, 12, 20)}
	}
	for _, row := range []struct {
		sentence string
		years    int
		on       string
		drawn    bool
	}{
		{"with two dates known it isn't drawn", 2, "2031-04-01", false},
		{"with three it is", 3, "2031-04-01", true},
		{"five days before the mean date it isn't", 3, "2031-12-15", false},
	} {
		share := func(years int) float64 {
			b := roughBench(t)
			at := civil.MustParse(row.on)
			b.task.Now, b.memory.days["NEAR"] = at.In(b.task.Site.Zone, 17, 0), rough(at-1)
			for y := 2031 - years; y < 2031; y++ {
				b.memory.past = append(b.memory.past, june(y))
			}
			return chance(t, b, stage.SeedRipe, civil.MustParse("2031-12-01"))
		}
		// The mean date gives 1 December no chance, and at 42 days and more it has half of the say.
		if got := share(row.years); (got < 0.6) != row.drawn {
			t.Errorf("%s: the chance by 1 December is %.3f", row.sentence, got)
		}
	}
}

// Whatever happens between two days, a site is carried on with a Memo exactly
// as without.
func TestWithAndWithoutMemoAlike(t *testing.T) {
	memo := advance.NewMemo(2)
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		b := roughBenchOf(outer, t)
		kept := *b
		kept.task.Memo = memo
		at := civil.MustParse("2031-03-20")
		for range rapid.IntRange(1, 4).Draw(t, "days") {
			at += civil.Date(rapid.IntRange(0, 20).Draw(t, "later"))
			b.memory.days["NEAR"] = slices.Clone(lately(rough(at - 1)))
			switch rapid.IntRange(0, 6).Draw(t, "change") {
			case 0: // a correction of the past
				n := rapid.IntRange(0, 4000).Draw(t, "corrected")
				b.memory.days["NEAR"][n].MeanC++
			case 1:
				b.memory.past = append(b.memory.past, reported("HOME", b.memory.days["NEAR"], rapid.IntRange(1, 5).Draw(t, "seasons"))...)
			case 2:
				b.memory.past = append(b.memory.past, reported("AWAY", b.memory.days["NEAR"], 10)...)
			case 3:
				b.memory.reports = append(b.memory.reports, trail.Report{Kind: trail.NotYet, Site: "HOME", BBCH: 7, Day: at - 1})
			case 4:
				b.memory.days["FAR"] = lately(rough(at - 3))
				b.memory.days["NEAR"] = b.memory.days["NEAR"][:rapid.IntRange(3000, len(b.memory.days["NEAR"])).Draw(t, "until")]
			case 5:
				b.task.Site.AltitudeM += 50
			}
			b.task.Now = at.In(b.task.Site.Zone, 17, 0)
			kept.task.Now, kept.task.Site = b.task.Now, b.task.Site
			want, err := advance.Site(context.Background(), b.memory, b.task)
			if err != nil {
				t.Fatal(err)
			}
			got, err := advance.Site(context.Background(), kept.memory, kept.task)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("on %s with a memo\n%+v\nwithout\n%+v", at, got.Issued, want.Issued)
			}
		}
	})
}

// lately is the days from 2019 on.
func lately(days []weather.Day) []weather.Day {
	return days[slices.IndexFunc(days, func(d weather.Day) bool { return d.Date.Year() == 2019 }):]
}

// roughBenchOf is roughBench with a second site, and other heats in turn.
func roughBenchOf(outer testing.TB, t *rapid.T) *bench {
	b := newBench(outer)
	b.other("AWAY")
	if rapid.Bool().Draw(t, "another heat") {
		b.heats(stage.Counting{Name: "long days", Weight: 1, Warmth: stage.Warmth{Response: stage.DayLength, BaseC: 2, Start: civil.MonthDay{Month: 2, Day: 1}}})
	}
	return b
}

func (b *bench) heats(more ...stage.Counting) {
	p := b.task.Programme.Profiles["birch"]
	p.Heats = more
	b.task.Programme.Profiles["birch"] = p
}

// A thermometer that reads 1.5 K more from 2024 on makes stages come at more
// heat than before, and the ops person is told; steady ones aren't.
func TestAStationThatMovedIsTold(t *testing.T) {
	b := roughBench(t)
	b.memory.past = reported("HOME", b.memory.days["NEAR"], 14)
	if w := b.do(t).Warnings; len(w) > 0 {
		t.Errorf("of a steady station: %q", w)
	}
	days := slices.Clone(b.memory.days["NEAR"])
	for i := range days {
		if days[i].Date.Year() >= 2024 {
			days[i].MeanC += 1.5
		}
	}
	b.memory.days["NEAR"] = days
	w := b.do(t).Warnings
	if len(w) != 1 || !strings.Contains(w[0], "HOME") || !strings.Contains(w[0], "since 2024") || !strings.Contains(w[0], "more heat") || !strings.Contains(w[0], "NEAR") {
		t.Errorf("warnings: %q", w)
	}
}

// What the running year's first day finds is as if it had been read with the
// years before: a substitute serves sixty days in a row, whatever year they
// began in.
func TestAGapGoesOnOverTheNewYear(t *testing.T) {
	for _, row := range []struct {
		sentence string
		silent   string
		heard    bool
	}{
		{"silent since 1 November", "2030-11-01", false},
		{"silent since 1 March", "2031-03-01", true},
	} {
		b := newBench(t)
		at := civil.MustParse("2031-04-21")
		b.memory.days["NEAR"] = series(civil.MustParse(row.silent)-1, 0)
		b.memory.days["FAR"] = series(at-1, 0)
		now, err := advance.Now(t.Context(), b.memory, b.task)
		if err != nil || (now.Station == "Far mill") != row.heard {
			t.Errorf("%s: %+v, %v", row.sentence, now, err)
		}
		v := b.do(t)
		if w := item(t, v, "bag on").Why; (w.Station == "Far mill") != row.heard {
			t.Errorf("%s: the forecast rests on %q", row.sentence, w.Station)
		}
	}
}
