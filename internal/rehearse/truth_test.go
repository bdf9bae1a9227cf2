package rehearse_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/rehearse"
)

func TestStagesKeepTheirOrder(t *testing.T) {
	for _, apart := range []int{0, 7} {
		tr := invented(t, func(s *rehearse.Settings) { s.SitesPerStation, s.TreesApartDays = 40, apart })
		for _, s := range tr.Seasons {
			over := s.Tree(0).Reached[69]
			for i := range s.Trees() {
				r := s.Tree(i).Reached
				for _, p := range [][2]int{{1, 7}, {7, 11}, {7, 60}, {60, 65}, {65, 69}, {69, 89}} {
					if r[p[0]] > r[p[1]] || r[p[0]].IsZero() {
						t.Errorf("%s tree %d: %02d on %s, %02d on %s", s, i, p[0], r[p[0]], p[1], r[p[1]])
					}
				}
				if r[69] != over {
					t.Errorf("%s tree %d: flowering over in the district on %s and %s", s, i, r[69], over)
				}
			}
		}
	}
}

func TestTruthDependsOnSeedSiteAndYearAlone(t *testing.T) {
	st := inventedStation(t)
	other := rehearse.Station{Name: "Aas", LatitudeDeg: 59, Means: st.Means}
	set := rehearse.Usual(birch())
	all := invented(t, nil).Seasons[5]
	few, err := rehearse.NewTrial(set, []rehearse.Station{other, st}, 2005, 2006)
	if err != nil {
		t.Fatal(err)
	}
	again := few.Seasons[len(few.Seasons)-1]
	if fmt.Sprintf("%+v", *all) != fmt.Sprintf("%+v", *again) { // by text: gaps are NaN, which equals nothing
		t.Errorf("%s among others and %s alone differ", all, again)
	}
	if same := few.Seasons[1]; same.Tree(0).Reached[7] == again.Tree(0).Reached[7] && same.Tree(1).Reached[7] == again.Tree(1).Reached[7] {
		t.Errorf("two sites of one climate have the same trees")
	}
	set.Seed = 2
	seeded, err := rehearse.NewTrial(set, []rehearse.Station{st}, 2006, 2006)
	if err != nil {
		t.Fatal(err)
	}
	if reflect.DeepEqual(seeded.Seasons[0].Tree(0), all.Tree(0)) {
		t.Error("another seed has the same tree")
	}
}

// certain takes the spread out of a profile: every tree is the median tree.
func certain(s *rehearse.Settings) {
	s.Stages = slices.Clone(s.Stages)
	for i := range s.Stages {
		s.Stages[i].LogSD = 0
	}
}

func TestMedianTreeByHand(t *testing.T) {
	// Invented: 4 °C to 31 March, 10 °C from 1 April: 5 °C·d a day above 5 °C.
	// 60 °C·d on the 12th day, 12 April; 210 on the 42nd, 12 May; 850 on the
	// 170th, 17 September; 100 more on the 190th, 7 October.
	means := map[int][]float64{2021: make([]float64, 365)}
	for i := range means[2021] {
		means[2021][i] = 4
		if i >= 90 {
			means[2021][i] = 10
		}
	}
	set := rehearse.Usual(birch())
	certain(&set)
	for _, row := range []struct {
		name                   string
		aboveM                 float64
		open, over, ripe, shed string
	}{
		{"at the station's height", 0, "2021-04-12", "2021-05-12", "2021-09-17", "2021-10-07"},
		// 9.025 °C at the trees: 4.025 °C·d a day: 60 on the 15th, 210 on the
		// 53rd, 850 on the 212th, 29 October; 100 more never.
		{"150 m above it", 150, "2021-04-15", "2021-05-23", "2021-10-29", ""},
	} {
		set.TreesAboveM = row.aboveM
		tr, err := rehearse.NewTrial(set, []rehearse.Station{{Name: "Bo", LatitudeDeg: 60, Means: means}}, 2021, 2021)
		if err != nil {
			t.Fatal(err)
		}
		tree := tr.Seasons[0].Tree(3)
		want := func(what string, got civil.Date, day string) {
			if day == "" && got.IsZero() {
				return
			}
			if day == "" || got != civil.MustParse(day) {
				t.Errorf("%s: %s on %s, want %q", row.name, what, got, day)
			}
		}
		want("bud break", tree.Reached[7], row.open)
		want("flowering over", tree.Reached[69], row.over)
		want("ripe", tree.Reached[89], row.ripe)
		want("shed", tree.Shed, row.shed)
	}
}

func TestOtherHeatsHaveTheSameMedianDates(t *testing.T) {
	medians := func(heat rehearse.TrueHeat) map[int][]civil.Date {
		out := map[int][]civil.Date{}
		tr := invented(t, func(s *rehearse.Settings) { certain(s); s.Heat = heat })
		for _, s := range tr.Seasons {
			for code, d := range s.Tree(0).Reached {
				out[code] = append(out[code], d-s.First)
			}
		}
		for _, days := range out {
			slices.Sort(days)
		}
		return out
	}
	profile := medians(rehearse.OfProfile)
	for _, heat := range []rehearse.TrueHeat{rehearse.DayLength, rehearse.Logistic} {
		other := medians(heat)
		differ := false
		for code, days := range profile {
			// Cut down in order to keep 07 ≤ 60 < 65 < 69, so within a day.
			if got, want := other[code][3], days[3]; got < want-1 || got > want+1 {
				t.Errorf("%s: median day of %02d is %d, of the profile's heat %d", heat, code, got, want)
			}
			differ = differ || !slices.Equal(other[code], days)
		}
		if !differ {
			t.Errorf("%s gives the profile's dates in every year", heat)
		}
	}
}

func TestOtherHeatsSpreadTreesOverAsManyDays(t *testing.T) {
	spread := func(heat rehearse.TrueHeat) float64 {
		tr := invented(t, func(s *rehearse.Settings) {
			s.Heat, s.Trees = heat, 200
			s.Shares = rehearse.Shares{Residual: 1}
		})
		sum := 0.0
		for _, s := range tr.Seasons {
			var days []civil.Date
			for i := range s.Trees() {
				days = append(days, s.Tree(i).Reached[7])
			}
			slices.Sort(days)
			sum += float64(days[180] - days[20])
		}
		return sum
	}
	own := spread(rehearse.OfProfile)
	for _, heat := range []rehearse.TrueHeat{rehearse.DayLength, rehearse.Logistic} {
		if ratio := spread(heat) / own; ratio < 0.75 || ratio > 1.3 { // to first order 1
			t.Errorf("%s: trees spread over %.2f times the days of the profile's heat", heat, ratio)
		}
	}
}

func TestTreesAWeekApart(t *testing.T) {
	together := invented(t, certain)
	tr := invented(t, func(s *rehearse.Settings) { certain(s); s.TreesApartDays = 7 })
	for i, s := range tr.Seasons {
		if got := s.Tree(0).Reached[1] - together.Seasons[i].Tree(0).Reached[1]; got != -3 { // −3.5, rounded up
			t.Errorf("%s: the first tree is %d days off the median tree, want -3", s, got)
		}
		if got := s.Tree(s.Trees() - 1).Reached[1] - s.Tree(0).Reached[1]; got != 7 {
			t.Errorf("%s: first and last tree %d days apart, want 7", s, got)
		}
	}
}

func TestWhatCannotBeRehearsedIsSaid(t *testing.T) {
	st := inventedStation(t)
	for _, row := range []struct {
		name   string
		change func(*rehearse.Settings, *rehearse.Station)
		from   int
		want   string
	}{
		{"a profile without ripeness", func(s *rehearse.Settings, _ *rehearse.Station) { s.Stages = s.Stages[:6] }, 2001, "no stage 89"},
		{"stages out of order", func(s *rehearse.Settings, _ *rehearse.Station) {
			s.Stages = slices.Clone(s.Stages)
			slices.Reverse(s.Stages)
		}, 2001, "by rising code"},
		{"shares that don't add up", func(s *rehearse.Settings, _ *rehearse.Station) { s.Shares.Site = 0.4 }, 2001, "add up to 1"},
		{"no trees", func(s *rehearse.Settings, _ *rehearse.Station) { s.Trees = 0 }, 2001, "0 trees"},
		{"a heat that isn't known", func(s *rehearse.Settings, _ *rehearse.Station) { s.Heat = "moon" }, 2001, "unknown heat"},
		{"day length without latitude", func(s *rehearse.Settings, st *rehearse.Station) {
			s.Heat, st.LatitudeDeg = rehearse.DayLength, math.NaN()
		}, 2001, "needs its latitude"},
		{"years without temperatures", nil, 2007, ""},
		{"no year at all", func(_ *rehearse.Settings, st *rehearse.Station) { st.Means = nil }, 2001, "no year from"},
	} {
		set, station := rehearse.Usual(birch()), st
		if row.change != nil {
			row.change(&set, &station)
		}
		tr, err := rehearse.NewTrial(set, []rehearse.Station{station}, row.from, row.from+3)
		if row.want == "" {
			if err != nil || len(tr.Seasons) != 2 || len(tr.Refused) != 2 || tr.Refused[0].Reason != "no temperatures" {
				t.Errorf("%s: %v, %+v", row.name, err, tr)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v, want %q in it", row.name, err, row.want)
		}
	}
}
