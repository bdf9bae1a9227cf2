package hindcast_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/hindcast"
)

// openSeries is one of the six open series that figures are stated for, with
// the least skill at 21, 14 and 7 days before the mean date.
type openSeries struct {
	name, series, species, phase string
	least                        [3]float64
}

var six = []openSeries{
	{"Hubbard Brook yellow birch 3", "hubbard_brook", "Yellow Birch", "stage_3", [3]float64{.10, .20, .15}},
	{"Hubbard Brook sugar maple 2", "hubbard_brook", "Sugar Maple", "stage_2", [3]float64{.10, .17, .20}},
	{"cherry near Basel", "swiss_cherry", "Prunus avium", "full_bloom", [3]float64{.06, .05, .03}},
	{"Harvard B. alleghaniensis", "harvard_forest", "Betula alleghaniensis", "budbreak_50pct", [3]float64{-.05, 0, -.03}},
	{"Harvard B. papyrifera", "harvard_forest", "Betula papyrifera", "budbreak_50pct", [3]float64{-.05, 0, -.06}},
	{"Harvard B. lenta", "harvard_forest", "Betula lenta", "budbreak_50pct", [3]float64{-.12, -.03, .03}},
}

func openData(t testing.TB) string {
	shared := os.Getenv("BUDCALL_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	dir := filepath.Join(shared, "data")
	if _, err := os.Stat(filepath.Join(dir, "observations.csv")); err != nil {
		t.Skipf("the open series aren't here (%v): set BUDCALL_SHARED to the folder that holds data/; the tests on testdata/ do the same on our own files", err)
	}
	return dir
}

// files gives the files of a folder to Run.
func files(t testing.TB, dir string) hindcast.Files {
	obs, err := os.Open(filepath.Join(dir, "observations.csv"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { obs.Close() })
	return hindcast.Files{Observations: obs, Temperatures: func(name string) (io.ReadCloser, error) { return os.Open(filepath.Join(dir, name)) }}
}

var allLeads = []int{56, 42, 28, 21, 14, 7, 3}

func (s openSeries) request(leads ...int) hindcast.Request {
	return hindcast.Request{Series: s.series, Species: s.species, Phase: s.phase, LeadDays: leads, Workers: 2}
}

// The smallest of the open series, in full; the benchmark shows all six.
func TestSkillOnAnOpenSeries(t *testing.T) {
	s := six[5]
	r, err := hindcast.Run(context.Background(), s.request(28, 21, 14, 7), files(t, openData(t)))
	if err != nil {
		t.Fatal(err)
	}
	if r.Units != 3 || r.Seasons != 25 {
		t.Errorf("%d units in %d seasons, want 3 in 25", r.Units, r.Seasons) // counted in the file
	}
	for i, l := range r.Leads {
		if l.Ahead+l.Gone != 75 {
			t.Errorf("%d days ahead: %d + %d cases of 75", l.Lead, l.Ahead, l.Gone)
		}
		if l.Coverage80 < 0.72 || l.Coverage80 > 0.90 {
			t.Errorf("%d days ahead: %.3f inside the 80 %% interval", l.Lead, l.Coverage80)
		}
		if l.CRPS > 1.03*l.CRPSMeanDate && l.Lead >= 28 {
			t.Errorf("%d days ahead: %.3f days, the mean date %.3f", l.Lead, l.CRPS, l.CRPSMeanDate)
		}
		if i > 0 && l.Skill < s.least[i-1] {
			t.Errorf("%d days ahead: skill %.3f, at least %.3f", l.Lead, l.Skill, s.least[i-1])
		}
	}
}

// BenchmarkTable scores all six open series at all leads and prints the table:
//
//	go test -run xxx -bench Table -benchtime 1x ./internal/hindcast
func BenchmarkTable(b *testing.B) {
	dir := openData(b)
	for _, mode := range []struct {
		name string
		with func(*hindcast.Request)
	}{
		{"Season", func(*hindcast.Request) {}},
		{"OwnVisits", func(r *hindcast.Request) { r.OwnVisitsOnly = true }},
		{"Simulated", func(r *hindcast.Request) { r.Simulated = true }},
	} {
		b.Run(mode.name, func(b *testing.B) {
			for b.Loop() {
				b.Log("\n" + table(b, dir, mode.with))
			}
		})
	}
}

func table(b *testing.B, dir string, with func(*hindcast.Request)) string {
	var out strings.Builder
	mean := make([]hindcast.Lead, len(allLeads))
	line := func(name string, leads []hindcast.Lead) {
		fmt.Fprintf(&out, "%-29s", name)
		for _, l := range leads {
			fmt.Fprintf(&out, " | %2d: %+.3f %.2f %.2f", l.Lead, l.Skill, l.CRPS, l.Coverage80)
		}
		out.WriteString("\n")
	}
	for _, s := range six {
		r := s.request(allLeads...)
		with(&r)
		result, err := hindcast.Run(context.Background(), r, files(b, dir))
		if err != nil {
			b.Fatal(err)
		}
		line(s.name, result.Leads)
		for i, l := range result.Leads {
			mean[i].Lead = l.Lead
			mean[i].Skill += l.Skill / 6
			mean[i].CRPS += l.CRPS / 6
			mean[i].Coverage80 += l.Coverage80 / 6
		}
	}
	line("mean of the six", mean)
	return out.String()
}

// The list that README's table is made with is these six.
func TestTheListOfSixIsTheSix(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "score", "six.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := hindcast.ReadList(f)
	if err != nil || len(got) != len(six) {
		t.Fatalf("%v %v", got, err)
	}
	for i, s := range six {
		if want := (hindcast.Listed{Series: s.series, Species: s.species, Phase: s.phase, Per: hindcast.PerSite}); got[i] != want {
			t.Errorf("line %d is %v, want %v", i, got[i], want)
		}
	}
}
