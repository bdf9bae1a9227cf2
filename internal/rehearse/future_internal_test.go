package rehearse

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/season"
)

// TestNothingOfTheFutureIsTold replaces what the thermometer shows from a day
// on, what is forecast after it, and all later years, by nonsense. What the
// program told and forecast up to then is the same to the byte, and what it told
// afterwards isn't.
func TestNothingOfTheFutureIsTold(t *testing.T) {
	o, stages := shipped(t)
	cut := civil.Of(2004, time.April, 20)
	play := func(nonsense bool) Story {
		tr, err := NewTrial(Usual(stages), []Station{wavy()}, 2004, 2005)
		if err != nil {
			t.Fatal(err)
		}
		s := tr.Seasons[0]
		if nonsense {
			spoil(s, cut)
		}
		stories, err := tr.Ours(t.Context(), o, []*Season{s}, 1, true, nil)
		if err != nil {
			t.Fatal(err)
		}
		return stories[s]
	}
	a, b := play(false), play(true)
	early, late := split(t, a, cut)
	earlyToo, lateToo := split(t, b, cut)
	if early != earlyToo {
		t.Errorf("told and forecast up to %s:\n%s\nwith nonsense after it:\n%s", cut, early, earlyToo)
	}
	if late == lateToo || len(early) < 1000 {
		t.Errorf("nothing is tested: %d letters before, the same after: %v", len(early), late == lateToo)
	}
}

// shipped is the program as it is shipped, and the stages of its profile.
func shipped(t *testing.T) (Ours, []Stage) {
	t.Helper()
	const file = "../../config/profiles/silver-birch.yml"
	body, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	profile, problems := config.ParseProfile(file, body)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	stages, err := StagesOf(profile)
	if err != nil {
		t.Fatal(err)
	}
	return Ours{Profile: profile, Settings: season.Defaults()}, stages
}

// spoil makes nonsense of all that comes after a day's last slot.
func spoil(s *Season, cut civil.Date) {
	chance := rand.New(rand.NewPCG(1, 2))
	for i := int(cut - s.First); i < len(s.observed); i++ {
		s.observed[i] = 60*chance.Float64() - 25
	}
	for i := int(cut-s.First) + 1; i < len(s.issued); i++ {
		for lead := range s.issued[i] {
			s.issued[i][lead] = 60*chance.Float64() - 25
		}
	}
	for year, means := range s.station.Means {
		if year > s.Year {
			for i := range means {
				means[i] = 35
			}
		}
	}
}

// TestDaysLeftOutChangeNothing: a season is played from some weeks before the
// first call can stand until some days after the last has ended, and comes out
// as if all of it had been played.
func TestDaysLeftOutChangeNothing(t *testing.T) {
	o, stages := shipped(t)
	set := Usual(stages)
	set.SilentShare, set.WeekendsOnly = 0.5, true
	tr, err := NewTrial(set, []Station{wavy()}, 2003, 2005)
	if err != nil {
		t.Fatal(err)
	}
	play := func(o Ours) (played []Played) {
		stories, err := tr.Ours(t.Context(), o, tr.Seasons, 2, false, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range tr.Seasons {
			played = append(played, stories[s].Played)
		}
		return played
	}
	part := play(o)
	o.wholeYear = true
	if whole := play(o); !reflect.DeepEqual(part, whole) {
		t.Errorf("in part %+v\nthe whole year %+v", part, whole)
	}
	if first := o.begin(tr.Seasons[0]); first != tr.Seasons[0].First {
		t.Errorf("the whole year begins on %s", first)
	}
}

// split gives what was told and forecast up to a day, and after it.
func split(t *testing.T, st Story, cut civil.Date) (early, late string) {
	t.Helper()
	var parts [2]struct {
		Told   []Telling
		Issues []Issue
	}
	for _, x := range st.Told {
		i := 0
		if civil.At(x.At.UTC()) > cut {
			i = 1
		}
		parts[i].Told = append(parts[i].Told, x)
	}
	for _, x := range st.Issues {
		i := 0
		if x.On > cut {
			i = 1
		}
		parts[i].Issues = append(parts[i].Issues, x)
	}
	if len(parts[0].Told) == 0 || len(parts[0].Issues) == 0 || len(parts[1].Told) == 0 {
		t.Fatalf("nothing is tested: told %d times up to %s and %d times after it", len(parts[0].Told), cut, len(parts[1].Told))
	}
	var texts [2]string
	for i, p := range parts {
		b, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		texts[i] = string(b)
	}
	return texts[0], texts[1]
}

// wavy is twenty invented years: a yearly wave and chance.
func wavy() Station {
	chance := rand.New(rand.NewPCG(3, 5))
	st := Station{Name: "Wavy", LatitudeDeg: 58, Means: map[int][]float64{}}
	odd := 0.0
	for d := civil.Of(1988, 1, 1); d < civil.Of(2008, 1, 1); d++ {
		odd = 0.8*odd + 1.8*chance.NormFloat64()
		wave := 6 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365)
		st.Means[d.Year()] = slices.Concat(st.Means[d.Year()], []float64{wave + odd})
	}
	return st
}
