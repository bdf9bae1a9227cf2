package rehearse_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/rehearse"
)

func TestSummaryByHand(t *testing.T) {
	// Two sites in 2001 and 2002; every tree of one site lost in 2001, none
	// else; bags from bud break less one day. Yearly means 0.5 and 0, mean 0.25,
	// weights 1/2: SE = √(2/1·(0.125² + 0.125²)) = 0.25.
	tr := invented(t, func(s *rehearse.Settings) { s.SitesPerStation = 2; s.Limits.MaxLeadDays = 300 })
	plays := map[*rehearse.Season]rehearse.Played{}
	for _, s := range tr.Seasons {
		if s.Year > 2002 {
			continue
		}
		p := rehearse.Played{TripsBag: 1, TripsPick: s.Year - 2000, Mails: 10, Trees: make([]rehearse.Done, s.Trees())}
		for i := range p.Trees {
			p.Trees[i].Bagged = s.Tree(i).Reached[7] - 1
			if s.Site == "Lill" && s.Year == 2001 {
				p.Trees[i].Bagged = 0
			}
			p.Trees[i].Picked = s.Tree(i).Reached[89]
		}
		plays[s] = p
	}
	r := rehearse.Summarize("by hand", plays)
	for _, row := range []struct {
		what      string
		got, want float64
	}{
		{"lost", r.Lost, 0.25}, {"its error", r.LostSE, 0.25},
		{"too early", r.TooEarly, 0}, {"in time", r.InTime, 0.75},
		{"picked ripe", r.PickedRipe, 1}, {"its error", r.PickedRipeSE, 0},
		{"off in time", r.OffInTime, 0},
		{"trips for seed", r.TripsPick, 1.5}, {"their error", r.TripsPickSE, 0.5},
		{"mails", r.MailsPerLead, 10},
	} {
		if math.Abs(row.got-row.want) > 1e-12 {
			t.Errorf("%s: %g, want %g", row.what, row.got, row.want)
		}
	}
	worst := rehearse.WorstOf(plays, func(s *rehearse.Season, _ rehearse.Played) string { return "nobody went to " + s.Site })
	if want := []rehearse.Worst{{Site: "Lill", Year: 2001, Lost: 1, Reason: "nobody went to Lill"}}; len(worst) != 1 || math.Abs(worst[0].Lost-1) > 1e-12 || worst[0].Reason != want[0].Reason || worst[0].Year != 2001 {
		t.Errorf("worst %+v, want %+v", worst, want)
	}
	table := rehearse.Result{Plans: []rehearse.PlanResult{r}, Stations: 1, Seasons: 4, Seed: 1, Worst: worst}.Table()
	for _, want := range []string{"25.0 ± 25.0", "Lill 2001: 100 % lost, 0 % too early. nobody went to Lill"} {
		if !strings.Contains(table, want) {
			t.Errorf("the table lacks %q:\n%s", want, table)
		}
	}
}

func TestResultKeys(t *testing.T) {
	// The keys are the issue's: a script that reads them must not break.
	b, err := json.Marshal(rehearse.Result{Plans: []rehearse.PlanResult{{}}, Worst: []rehearse.Worst{{}}})
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Plans []map[string]any
		Worst []map[string]any
	}
	var top map[string]any
	if err := json.Unmarshal(b, &top); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	keys := func(m map[string]any) []string {
		var out []string
		for k := range m {
			out = append(out, k)
		}
		slices.Sort(out)
		return out
	}
	if want := []string{"plans", "seasons", "seed", "stations", "worst"}; !slices.Equal(keys(top), want) {
		t.Errorf("%v, want %v", keys(top), want)
	}
	want := []string{"plan"}
	for _, k := range []string{"lost", "too_early", "in_time", "off_in_time", "picked_ripe", "trips_bag", "trips_pick", "mails_per_lead"} {
		want = append(want, k, k+"_se")
	}
	slices.Sort(want)
	if !slices.Equal(keys(got.Plans[0]), want) {
		t.Errorf("%v, want %v", keys(got.Plans[0]), want)
	}
}

// told asks once, by hand, and records what it is shown.
type told struct {
	t     *testing.T
	first civil.Date
	asked bool
	views int
}

func (p *told) Now(v rehearse.View) []rehearse.Ask {
	p.views++
	if len(v.Observed) != int(v.Today-p.first) {
		p.t.Errorf("%s: %d days observed", v.At, len(v.Observed))
	}
	for _, r := range v.Reports {
		if r.Day > v.Today {
			p.t.Errorf("%s: a report of %s", v.At, r.Day)
		}
	}
	for _, r := range v.Replies {
		if r.Reply.At.After(v.At) {
			p.t.Errorf("%s: an answer of %s", v.At, r.Reply.At)
		}
	}
	if p.asked || v.Today < p.first+60 {
		return nil
	}
	p.asked = true
	days := civil.Range{First: v.Today, Last: v.Today + 20}
	ask := func(to rehearse.Person, task rehearse.Task) rehearse.Ask {
		return rehearse.Ask{To: to, Task: task, Days: days, Best: v.Today}
	}
	bag := ask(rehearse.Deputy, rehearse.Bag)
	bag.Leave = []int{2}
	return []rehearse.Ask{bag, ask(rehearse.Deputy, rehearse.Look), ask(rehearse.Coordinator, rehearse.Told)}
}

func TestPlayShowsTheSeasonAsItComes(t *testing.T) {
	for _, s := range invented(t, nil).Seasons {
		p := &told{t: t, first: s.First}
		got := rehearse.Play(s, p)
		if got.Mails != 2 || got.TripsBag != 1 || got.TripsPick != 0 {
			t.Errorf("%s: %+v, want 2 mails (bag and look in one) and one trip", s, got)
		}
		day := got.Trees[0].Bagged
		for i, d := range got.Trees {
			left := i == 2 && s.Visit(2, day).Leaf == 0
			if d.Bagged != day != left || day < s.First+60 || !d.Off.IsZero() || !d.Picked.IsZero() {
				t.Errorf("%s tree %d: %+v, all but an unswollen tree 2 are bagged on %s", s, i, d, day)
			}
		}
		// Three slots a day, two answers, two visits.
		if want := 3*int(s.Last-s.First+1) + 4; p.views != want {
			t.Errorf("%s: called %d times, want %d", s, p.views, want)
		}
	}
}
