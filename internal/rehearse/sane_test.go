package rehearse_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/rehearse"
)

// birch is the shipped profile of silver birch (config/profiles/silver-birch.yml).
func birch() []rehearse.Stage {
	march, january := civil.MonthDay{Month: time.March, Day: 1}, civil.MonthDay{Month: time.January, Day: 1}
	return []rehearse.Stage{
		{Code: 1, BaseC: 5, Start: march, MedianCd: 25, LogSD: 0.45},
		{Code: 7, BaseC: 5, Start: march, MedianCd: 60, LogSD: 0.30},
		{Code: 11, BaseC: 5, Start: march, MedianCd: 100, LogSD: 0.25},
		{Code: 60, BaseC: 5, Start: march, MedianCd: 95, LogSD: 0.22},
		{Code: 65, BaseC: 5, Start: march, MedianCd: 120, LogSD: 0.18},
		{Code: 69, BaseC: 5, Start: march, MedianCd: 210, LogSD: 0.17},
		{Code: 89, BaseC: 5, Start: january, MedianCd: 850, LogSD: 0.08},
	}
}

// openStations reads the five long open series, and skips where they are absent.
func openStations(t testing.TB) []rehearse.Station {
	t.Helper()
	root := os.Getenv("BUDCALL_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared")
	}
	var out []rehearse.Station
	for _, f := range []struct {
		name, file  string
		latitudeDeg float64
	}{
		{"Helsinki", "daily_helsinki_vantaa_1952-2017.csv", 60.3},
		{"Berlin", "daily_berlin_dahlem_1950-2021.csv", 52.5},
		{"Central England", "daily_central_england_1772-2026.csv", 52.5},
		{"Harvard", "daily_harvard_forest_1964-2015.csv", 42.5},
		{"Basel", "daily_basel_1971-2022.csv", 47.5},
	} {
		path := filepath.Join(root, "data", f.file)
		in, err := os.Open(path)
		if err != nil {
			t.Skipf("open temperatures absent (%v): set BUDCALL_SHARED to the folder that has data/", err)
		}
		means, err := rehearse.ReadTemperatures(path, in)
		in.Close()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, rehearse.Station{Name: f.name, LatitudeDeg: f.latitudeDeg, Means: means})
	}
	return out
}

// result plays the four plans.
func result(tr *rehearse.Trial, fold rehearse.Fold, scope rehearse.Scope) (rehearse.Result, rehearse.Rivals) {
	rivals := tr.Rivals(fold, scope)
	r := rehearse.Result{Stations: len(tr.Stations), Seasons: len(tr.Reported(fold)), Seed: tr.Settings.Seed}
	for _, plan := range rehearse.RulePlans {
		r.Plans = append(r.Plans, rehearse.Summarize(plan, rivals.Plays[plan]))
	}
	return r, rivals
}

// TestFourPlansOnOpenTemperatures prints the table (-v) and holds it to what a
// prototype found, 97 and 98.1 in 100 not lost by the tuned heat sums (ours, of
// another truth: hence wide bounds), and to the order that must be.
func TestFourPlansOnOpenTemperatures(t *testing.T) {
	set := rehearse.Usual(birch())
	set.SitesPerStation = 3
	tr, err := rehearse.NewTrial(set, openStations(t), 1960, 2020)
	if err != nil {
		t.Fatal(err)
	}
	r, rivals := result(tr, rehearse.Both, rehearse.PerStation)
	t.Logf("\n%s", r.Table())
	even, _ := result(tr, rehearse.Even, rehearse.PerStation)
	t.Logf("tuned on odd years, even years reported\n%s", even.Table())
	for _, x := range rivals.Tuned {
		t.Logf("%s (%s, on %s years): %s", x.Plan, x.Group, x.On, x.Text)
		if x.Edge {
			t.Errorf("%s (%s, on %s years): tuned to the edge of what was tried: %s", x.Plan, x.Group, x.On, x.Text)
		}
	}
	calendar, median, tuned, ahead := r.Plans[0], r.Plans[1], r.Plans[2], r.Plans[3]
	if 1-tuned.Lost < 0.95 || 1-ahead.Lost < 0.965 {
		t.Errorf("the tuned plans lose too many: %.3f and %.3f", tuned.Lost, ahead.Lost)
	}
	if loss(ahead) >= loss(tuned) || loss(tuned) >= loss(calendar) || loss(tuned) >= loss(median) {
		t.Errorf("losses: calendar %.3f, median %.3f, tuned %.3f, with forecast %.3f", loss(calendar), loss(median), loss(tuned), loss(ahead))
	}
}

// loss is what bagging is tuned by.
func loss(p rehearse.PlanResult) float64 { return p.Lost + p.TooEarly/3 }

// TestFourPlansOnAnInventedStation is the same on our own small file. On the
// years tuned on, tuning can't do worse than the median, which is among the
// values tried.
func TestFourPlansOnAnInventedStation(t *testing.T) {
	tr := invented(t, func(s *rehearse.Settings) { s.SitesPerStation = 5 })
	for _, fold := range []rehearse.Fold{rehearse.Even, rehearse.Odd, rehearse.Both} {
		r, rivals := result(tr, fold, rehearse.AllSites)
		want := 20 // 5 sites, 4 years of each half
		if fold == rehearse.Both {
			want = 40
		}
		for _, p := range r.Plans {
			if len(rivals.Plays[p.Plan]) != want || r.Seasons != want {
				t.Errorf("%s years: %s played %d seasons, want %d", fold, p.Plan, len(rivals.Plays[p.Plan]), want)
			}
			if sum := p.Lost + p.TooEarly + p.InTime; sum < 1-1e-9 || sum > 1+1e-9 {
				t.Errorf("%s: lost, too early and in time add up to %g", p.Plan, sum)
			}
			if p.MailsPerLead < 2 || p.TripsBag > 1 {
				t.Errorf("%s: %+v", p.Plan, p)
			}
		}
		for _, x := range rivals.Tuned {
			if fold != rehearse.Both && (x.On == "even") != (fold == rehearse.Odd) {
				t.Errorf("reported on %s years, tuned on %s", fold, x.On)
			}
		}
	}
}

// TestPlansDontChangeWhatOthersPlay: the same hidden seasons whatever was
// played before.
func TestPlansDontChangeWhatOthersPlay(t *testing.T) {
	once, _ := result(invented(t, nil), rehearse.Both, rehearse.PerSite)
	tr := invented(t, nil)
	result(tr, rehearse.Even, rehearse.AllSites)
	for _, s := range tr.Seasons {
		rehearse.Play(s, &told{t: t, first: s.First})
	}
	again, _ := result(tr, rehearse.Both, rehearse.PerSite)
	if once.Table() != again.Table() {
		t.Errorf("played first:\n%s\nplayed last:\n%s", once.Table(), again.Table())
	}
}

// TestTuningHasNotSeenTheYearsReported: the calendar's margins for even years
// come out alike when the even years' weather is another. (The heat sums' may
// differ: they bridge gaps by the climate of all years but the season's.)
func TestTuningHasNotSeenTheYearsReported(t *testing.T) {
	st := inventedStation(t)
	odd := rehearse.Station{Name: st.Name, LatitudeDeg: st.LatitudeDeg, Means: map[int][]float64{}}
	for y, means := range st.Means {
		odd.Means[y] = slices.Clone(means)
		for i := range means {
			switch y % 4 {
			case 0:
				odd.Means[y][i] += 5
			case 2:
				odd.Means[y][i] -= 2
			}
		}
	}
	margins := func(st rehearse.Station, fold rehearse.Fold) string {
		set := rehearse.Usual(birch())
		set.SitesPerStation = 5
		tr, err := rehearse.NewTrial(set, []rehearse.Station{st}, 2001, 2008)
		if err != nil {
			t.Fatal(err)
		}
		_, rivals := result(tr, fold, rehearse.AllSites)
		for _, x := range rivals.Tuned {
			if x.Plan == rehearse.PlanCalendar {
				return x.Text
			}
		}
		return ""
	}
	if a, b := margins(st, rehearse.Even), margins(odd, rehearse.Even); a != b || a == "" {
		t.Errorf("tuned for even years: %q, with other weather in even years %q", a, b)
	}
	if a, b := margins(st, rehearse.Odd), margins(odd, rehearse.Odd); a == b {
		t.Errorf("tuned on even years of other weather alike: %q", a)
	}
}

func BenchmarkFourPlans(b *testing.B) {
	set := rehearse.Usual(birch())
	set.SitesPerStation = 125 // times 8 years: a thousand site-seasons
	for b.Loop() {
		tr, err := rehearse.NewTrial(set, []rehearse.Station{inventedStation(b)}, 2001, 2008)
		if err != nil {
			b.Fatal(err)
		}
		result(tr, rehearse.Both, rehearse.PerStation)
	}
}
