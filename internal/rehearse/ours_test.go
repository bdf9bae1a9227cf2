package rehearse_test

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"os"
	"slices"
	"testing"

	"budcall/internal/config"
	"budcall/internal/rehearse"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// ours is the program as it is shipped.
func ours(t testing.TB) rehearse.Ours {
	t.Helper()
	const file = "../../config/profiles/silver-birch.yml"
	body, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	p, problems := config.ParseProfile(file, body)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return rehearse.Ours{Profile: p, Settings: season.Defaults()}
}

// told is all that was told and done in seasons, as text.
func toldOf(t *testing.T, stories map[*rehearse.Season]rehearse.Story) map[string]string {
	t.Helper()
	out := map[string]string{}
	for s, story := range stories {
		b, err := json.Marshal(story)
		if err != nil {
			t.Fatal(err)
		}
		out[s.String()] = string(b)
	}
	return out
}

// TestOursIsTheSameWhateverPlaysBeside: one season after the other or two beside
// each other, kept or not.
func TestOursIsTheSameWhateverPlaysBeside(t *testing.T) {
	play := func(workers int, keep bool) map[*rehearse.Season]rehearse.Story {
		tr := long(t, nil)
		stories, err := tr.Ours(t.Context(), ours(t), tr.Reported(rehearse.Even)[:2], workers, keep, nil)
		if err != nil {
			t.Fatal(err)
		}
		return stories
	}
	one := play(1, true)
	if a, b := toldOf(t, one), toldOf(t, play(2, true)); len(a) != 2 || !maps.Equal(a, b) {
		t.Errorf("one after the other:\n%v\nbeside each other:\n%v", a, b)
	}
	played := func(of map[*rehearse.Season]rehearse.Story) map[string]string {
		bare := map[*rehearse.Season]rehearse.Story{}
		for s, story := range of {
			bare[s] = rehearse.Story{Played: story.Played}
		}
		return toldOf(t, bare)
	}
	unkept := play(2, false)
	if a, b := played(one), played(unkept); !maps.Equal(a, b) {
		t.Errorf("kept: %v\nnot kept: %v", a, b)
	}
	for s, story := range one {
		if len(story.Told) == 0 || len(story.Issues) == 0 || len(story.Trips) < 3 || len(story.Trips) != len(story.Tasks) {
			t.Errorf("%s: told %d times, %d forecasts, %d trips", s, len(story.Told), len(story.Issues), len(story.Trips))
		}
	}
	for s, story := range unkept {
		if story.Told != nil || story.Issues != nil {
			t.Errorf("%s: a story was kept that nobody asked for", s)
		}
	}
}

// TestEarlierSpringsReachTheProgram: with reports of springs in which the trees
// needed half as much again, the forecast of the first day is a later one; and
// without any spring before, nothing changes.
func TestEarlierSpringsReachTheProgram(t *testing.T) {
	first := func(springs int, year int) rehearse.Issue {
		tr := long(t, func(s *rehearse.Settings) {
			for i := range s.Stages {
				if s.Stages[i].Code != rehearse.SeedRipe {
					s.Stages[i].MedianCd *= 1.5
				}
			}
		})
		o := ours(t)
		o.EarlierSprings = springs
		i := slices.IndexFunc(tr.Seasons, func(s *rehearse.Season) bool { return s.Year == year })
		stories, err := tr.Ours(t.Context(), o, tr.Seasons[i:i+1], 1, true, nil)
		if err != nil {
			t.Fatal(err)
		}
		story := stories[tr.Seasons[i]]
		at := slices.IndexFunc(story.Issues, func(i rehearse.Issue) bool { return i.Code == rehearse.BudBreak })
		if at < 0 {
			t.Fatalf("%d: bud break was never forecast", year)
		}
		return story.Issues[at]
	}
	none, three := first(0, 2004), first(3, 2004)
	if none.On != three.On || three.P50 < none.P50+2 {
		t.Errorf("without reports %+v, after three springs %+v: want it 2 days later at least", none, three)
	}
	if a, b := first(0, 2001), first(3, 2001); a != b {
		t.Errorf("the first spring has none before it, and %+v became %+v", a, b)
	}
}

func TestOursEndsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	tr := long(t, nil)
	_, err := tr.Ours(ctx, ours(t), tr.Seasons, 2, false, func(done, _ int) { stop() })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func TestYearsWithTooFewBeforeAreRefused(t *testing.T) {
	tr := long(t, func(s *rehearse.Settings) { s.SitesPerStation = 2 })
	tr.NeedPast(18) // 1985 to 2002 are 18
	var left []int
	for _, s := range tr.Seasons {
		left = append(left, s.Year)
	}
	if want := []int{2003, 2004, 2005, 2006, 2003, 2004, 2005, 2006}; !slices.Equal(left, want) {
		t.Errorf("left are %v, want %v", left, want)
	}
	if len(tr.Refused) != 2 || tr.Refused[0].Year != 2001 || tr.Refused[1].Year != 2002 || tr.Refused[0].Reason != "its file has fewer than 18 earlier years to forecast from" {
		t.Errorf("refused: %+v, want 2001 and 2002 once each", tr.Refused)
	}
}

func TestTruthNeedsAProfileOfDailyMeans(t *testing.T) {
	p := ours(t).Profile
	stages, err := rehearse.StagesOf(p)
	if err != nil || len(stages) != len(p.Stages) || stages[0].MedianCd != p.Stages[0].MedianCd {
		t.Errorf("%+v, %v", stages, err)
	}
	p.Stages = append([]stage.Stage{}, p.Stages...)
	p.Stages[1].Heat.Rule.Method = "sine"
	if _, err := rehearse.StagesOf(p); err == nil {
		t.Error("a stage counted by the sine method was taken")
	}
}
