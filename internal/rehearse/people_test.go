package rehearse_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/rehearse"

	"pgregory.net/rapid"
)

func TestAnswerDelaysAreLognormal(t *testing.T) {
	// Half within 6 h, 90 in 100 within 48 h: the trial's fixed people. With
	// 30000 answers the standard errors are 0.003 and 0.002; tolerance 0.01.
	tr := invented(t, nil)
	var n, six, two int
	for _, s := range tr.Seasons {
		for i := range 4000 {
			at := s.First.Midnight().Add(time.Duration(i) * time.Hour)
			r := s.Answer(rehearse.Deputy, at, civil.Range{First: s.First, Last: s.Last}, s.First)
			n++
			if r.At.Sub(at) <= 6*time.Hour {
				six++
			}
			if r.At.Sub(at) <= 48*time.Hour {
				two++
			}
		}
	}
	if p := float64(six) / float64(n); math.Abs(p-0.5) > 0.01 {
		t.Errorf("%.3f answer within 6 h, want 0.5", p)
	}
	if p := float64(two) / float64(n); math.Abs(p-0.9) > 0.01 {
		t.Errorf("%.3f answer within 48 h, want 0.9", p)
	}
}

func TestSilenceIsTheLeadsAlone(t *testing.T) {
	for _, row := range []struct {
		share, low, high float64
	}{{0, 0, 0}, {0.1, 0.07, 0.13}, {1, 1, 1}} { // 800 leads: SE 0.011 at 0.1
		tr := invented(t, func(s *rehearse.Settings) { s.SilentShare, s.SitesPerStation, s.Trees = row.share, 100, 1 })
		silent := 0
		for _, s := range tr.Seasons {
			day := civil.Range{First: s.First, Last: s.Last}
			if s.Answer(rehearse.Lead, s.First.Midnight(), day, s.First).Never() {
				silent++
			}
			for _, p := range []rehearse.Person{rehearse.Deputy, rehearse.Coordinator} {
				if s.Answer(p, s.First.Midnight(), day, s.First).Never() {
					t.Fatalf("%s: the %s never answers", s, p)
				}
			}
		}
		if got := float64(silent) / float64(len(tr.Seasons)); got < row.low || got > row.high {
			t.Errorf("share %g set: %.3f of the leads are silent", row.share, got)
		}
	}
}

func TestFreeDaysAreWeekendsAndTwoWeekdays(t *testing.T) {
	for _, weekends := range []bool{false, true} {
		tr := invented(t, func(s *rehearse.Settings) { s.WeekendsOnly, s.SilentShare = weekends, 0 })
		var pairs []int
		for _, s := range tr.Seasons {
			free := map[time.Weekday]bool{}
			for d := s.First + 40; d < s.First+240; d++ {
				// Asked three weeks ahead for one day: on that day only if free.
				r := s.Answer(rehearse.Lead, (d - 21).Midnight(), civil.Range{First: d, Last: d}, d)
				if r.Goes == d {
					free[d.Weekday()] = true
				}
			}
			if !free[time.Saturday] || !free[time.Sunday] {
				t.Errorf("%s: not free at weekends: %v", s, free)
			}
			pairs = append(pairs, len(free)-2)
		}
		want := 2
		if weekends {
			want = 0
		}
		if slices.Min(pairs) != want || slices.Max(pairs) != want {
			t.Errorf("weekends only %v: weekdays free %v, want %d each", weekends, pairs, want)
		}
	}
}

func TestPeopleGoOnTheirDays(t *testing.T) {
	tr := invented(t, func(s *rehearse.Settings) { s.WeekendsOnly, s.SilentShare = true, 0 })
	s := tr.Seasons[3]
	weekend := func(d civil.Date) bool { return d.Weekday() == time.Saturday || d.Weekday() == time.Sunday }
	rapid.Check(t, func(t *rapid.T) {
		at := s.First.Midnight().Add(time.Duration(rapid.IntRange(0, 280*24*60).Draw(t, "minute")) * time.Minute)
		first := civil.At(at) + civil.Date(rapid.IntRange(-2, 8).Draw(t, "first"))
		days := civil.Range{First: first, Last: first + civil.Date(rapid.IntRange(0, 12).Draw(t, "more"))}
		best := days.First + civil.Date(rapid.IntRange(0, days.Len()-1).Draw(t, "best"))
		r := s.Answer(rehearse.Lead, at, days, best)
		soonest := civil.At(r.At)
		if r.At.Hour() >= 12 {
			soonest++
		}
		var told []civil.Date
		for d := max(days.First, soonest); d <= days.Last; d++ {
			if weekend(d) {
				told = append(told, d)
			}
		}
		switch {
		case r.At.Before(at):
			t.Fatalf("answered before asked")
		case len(told) > 0:
			near := slices.MinFunc(told, func(a, b civil.Date) int {
				return int(max(a-best, best-a) - max(b-best, best-b))
			})
			if r.Goes != near {
				t.Fatalf("goes %s, nearest free day told is %s", r.Goes, near)
			}
		case r.Cant():
			for d := soonest; d <= max(soonest, days.Last)+3; d++ {
				if d > days.Last && weekend(d) {
					t.Fatalf("can't, though free on %s", d)
				}
			}
		default:
			if !weekend(r.Goes) || r.Goes < soonest || r.Goes <= days.Last || r.Goes > max(soonest, days.Last)+3 {
				t.Fatalf("goes %s, told %v, answered %s", r.Goes, days, r.At)
			}
		}
	})
}

func TestSendPassesOn(t *testing.T) {
	tr := invented(t, func(s *rehearse.Settings) { s.SilentShare = 1 })
	late := 0
	for _, s := range tr.Seasons {
		at := (s.First + 100).In(time.UTC, 6, 10)
		days := civil.Range{First: s.First + 100, Last: s.First + 120}
		trip := s.Send(at, days, days.First)
		if trip.By == rehearse.Lead || trip.Mails < 2 || trip.Day < days.First+1 {
			t.Errorf("%s: a silent lead is passed over after a day: %+v", s, trip)
		}
		deputy := s.Answer(rehearse.Deputy, at.Add(24*time.Hour), days, days.First)
		if waited := deputy.At.Sub(at.Add(24 * time.Hour)); waited > 24*time.Hour {
			late++
			continue
		}
		if trip.Day != deputy.Goes || trip.Mails != 2 {
			t.Errorf("%s: the deputy goes on %s after 2 mails, got %+v", s, deputy.Goes, trip)
		}
	}
	if late == len(tr.Seasons) {
		t.Error("no deputy ever answered within a day")
	}
}

func TestVisitsErrByADayAtMost(t *testing.T) {
	tr := invented(t, nil)
	var before, after, n int
	for _, s := range tr.Seasons {
		for i := range s.Trees() {
			open := s.Tree(i).Reached[7]
			if s.Visit(i, open-2).Leaf >= 7 || s.Visit(i, open+1).Leaf < 7 {
				t.Errorf("%s tree %d: bud break %s seen more than a day off", s, i, open)
			}
		}
		// One tree a season: everybody errs alike on a day.
		open := s.Tree(0).Reached[7]
		n++
		if s.Visit(0, open-1).Leaf >= 7 {
			before++
		}
		if s.Visit(0, open).Leaf < 7 {
			after++
		}
	}
	if before+after == 0 || before+after == 2*n {
		t.Errorf("no day's error among %d seasons: %d seen a day early, %d a day late", n, before, after)
	}
}
