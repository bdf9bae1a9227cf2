package cli

import (
	"context"
	"math"
	"os"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/season"
)

// springsAsk is a site with invented years of its station.
func springsAsk(t *testing.T, years int) app.SpringsAsk {
	t.Helper()
	body, err := os.ReadFile("../../config/profiles/silver-birch.yml")
	if err != nil {
		t.Fatal(err)
	}
	profile, problems := config.ParseProfile("silver-birch.yml", body)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	ask := app.SpringsAsk{
		Site: config.Site{Code: "HOME", AltitudeM: 51, Settings: season.Defaults()}, After: season.Defaults(), Trees: 4, Profile: profile,
		Station: config.Station{Code: "MET", LatDeg: 60.3, AltitudeM: 51}, MeansC: map[int][]float64{}, Most: 10,
	}
	for y := 2030 - years; y < 2030; y++ {
		first := civil.Of(y, 1, 1)
		for d := first; d.Year() == y; d++ {
			n := float64(d)
			ask.MeansC[y] = append(ask.MeansC[y], 5.5-12*math.Cos(2*math.Pi*(float64(d.YearDay())-22)/365.25)+1.5*math.Sin(float64(y)*2.4)+2*math.Sin(n*0.7)+2*math.Sin(n*0.13))
		}
	}
	return ask
}

func TestSpringsAreReplayedWithBothSettings(t *testing.T) {
	ask := springsAsk(t, 15)
	ask.Most = 3
	player := newSpringPlayer()
	same, err := player.replay(t.Context(), ask)
	if err != nil || same.Played != 3 || same.Before != same.After || same.Before.Trips < 6 || same.Late || same.Unfit {
		t.Fatalf("with the same settings: %+v, %v", same, err)
	}
	ask.After.MaxLeadDays, ask.After.LastDayChance, ask.After.EarlyPerLost = 5, 0.49, 0.1
	other, err := player.replay(t.Context(), ask)
	if err != nil || other.Before != same.Before || other.After == other.Before || other.After.Missed <= other.Before.Missed {
		t.Errorf("with settings that bag late: %+v, %v", other, err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), springMargin+200*time.Millisecond) // less than a spring takes
	defer cancel()
	if again, err := player.replay(ctx, ask); err != nil || again != other {
		t.Errorf("asked again it isn't remembered: %+v, %v", again, err)
	}
	ask.Trees = 40
	if more, err := player.replay(t.Context(), ask); err != nil || more.After.Missed <= other.After.Missed {
		t.Errorf("with ten times the trees it is taken for the same: %+v, %v", more, err)
	}
}

func TestSpringsEndWithTheTime(t *testing.T) {
	ask := springsAsk(t, 22)
	ctx, cancel := context.WithTimeout(t.Context(), springMargin+400*time.Millisecond)
	defer cancel()
	got, err := newSpringPlayer().replay(ctx, ask)
	if err != nil || !got.Late || got.Played >= 10 {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestSpringsThatCannotBeReplayed(t *testing.T) {
	if got, err := newSpringPlayer().replay(t.Context(), springsAsk(t, 8)); err != nil || !got.Unfit || got.Played != 0 {
		t.Errorf("with too few years: %+v, %v", got, err)
	}
	ask := springsAsk(t, 22)
	ask.Profile.Stages = ask.Profile.Stages[:2]
	if got, err := newSpringPlayer().replay(t.Context(), ask); err == nil || !got.Unfit {
		t.Errorf("with half a profile: %+v, %v", got, err)
	}
}
