package season_test

import (
	"testing"

	"budcall/internal/call"
	"budcall/internal/ensemble"
	"budcall/internal/trail"
)

func TestAShortSeasonIsSaidAndTakenBack(t *testing.T) {
	chance := func(p float64) func(*story) {
		return func(s *story) { s.forecast.Ripe = seldom(logistic("2031-08-20", 4), p) }
	}
	play(t, bagged(), call.ShortSeason, []row{
		{"2031-07-14", "17:00", "not before mid-season", nil, chance(0.3), call.Quiet, call.FarOff, "", ""},
		{"2031-07-15", "06:10", "from then on seed is in doubt", nil, nil, call.Go, call.SeedInDoubt, "", ""},
		{"2031-07-15", "17:00", "said in the evening", nil, nil, call.Go, call.SeedInDoubt, "coord", call.SeedInDoubt},
		{"2031-07-16", "09:00", "it will be seen to", []trail.Report{going("coord", call.ShortSeason, "2031-08-01")}, nil, call.Go, call.SeedInDoubt, "", ""},
		{"2031-07-20", "17:00", "a little better takes nothing back", nil, chance(0.55), call.Go, call.SeedInDoubt, "", ""},
		{"2031-07-22", "06:10", "clearly better does", nil, chance(0.65), call.NotNeeded, call.SeedLikely, "", ""},
		{"2031-07-22", "17:00", "and is said", nil, nil, call.NotNeeded, call.SeedLikely, "coord", call.SeedLikely},
		{"2031-07-23", "17:00", "once", nil, chance(0.55), call.NotNeeded, call.SeedLikely, "", ""},
		{"2031-07-24", "17:00", "in doubt again", nil, chance(0.45), call.Go, call.SeedInDoubt, "coord", call.SeedInDoubt},
		{"2031-07-25", "09:00", "the coordinator has understood", []trail.Report{{Kind: trail.Understood}}, nil, call.Done, call.Reported, "", ""},
		{"2031-08-20", "17:00", "which holds", nil, chance(0.2), call.Done, call.Reported, "", ""},
	})
}

func TestAShortSeasonIsNotSpokenOf(t *testing.T) {
	likely := bagged()
	play(t, likely, call.ShortSeason, []row{
		{"2031-07-15", "17:00", "where seed is likely", nil, nil, call.Quiet, call.FarOff, "", ""},
		{"2031-07-16", "17:00", "nor by a hair", nil, func(s *story) { s.forecast.Ripe = seldom(logistic("2031-08-20", 2), 0.51) }, call.Quiet, call.FarOff, "", ""},
		{"2031-07-17", "17:00", "nor where nothing is known of seed", nil, func(s *story) { s.forecast.Ripe = ensemble.Days{} }, call.Quiet, call.FarOff, "", ""},
		{"2031-10-01", "17:00", "nor after the season's end", nil, nil, call.NotNeeded, call.SeasonOver, "", ""},
	})
}

func TestBrownSeedTakesAShortSeasonBack(t *testing.T) {
	s := bagged()
	s.forecast.Ripe = seldom(logistic("2031-08-20", 4), 0.3)
	play(t, s, call.ShortSeason, []row{
		{"2031-08-01", "17:00", "in doubt", nil, nil, call.Go, call.SeedInDoubt, "coord", call.SeedInDoubt},
		{"2031-08-02", "17:00", "brown seed was seen", []trail.Report{{Kind: trail.SeedBrown}}, nil, call.NotNeeded, call.SeedLikely, "coord", call.SeedLikely},
	})
}
