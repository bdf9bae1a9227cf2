package rehearse

import (
	"context"
	"errors"
	"slices"
)

// Request says which plans are tried on which seasons of a trial.
type Request struct {
	Ours     Ours
	Fold     Fold
	Scope    Scope    // over which sites the other plans' thresholds are tuned
	Plans    []string // Budcall and those of RulePlans, as they shall be told
	Workers  int      // seasons that the program plays beside each other
	Progress func(done, total int)
}

// Outcome plays the seasons of a fold by the plans asked for, the same seasons
// by all of them, and gives what came of it, with the program's ten worst
// seasons and their reasons; and the thresholds of the other plans. A station
// without years of the other half, on which these are tuned, is refused for all.
func (t *Trial) Outcome(ctx context.Context, r Request) (Result, []Tuned, error) {
	seasons := t.Reported(r.Fold)
	var tuned []Tuned
	var rivals Rivals
	if slices.ContainsFunc(r.Plans, func(p string) bool { return p != Budcall }) {
		rivals = t.Rivals(r.Fold, r.Scope)
		seasons = t.tunedFor(seasons, rivals.Plays[PlanTuned])
		for _, x := range rivals.Tuned {
			if slices.Contains(r.Plans, x.Plan) {
				tuned = append(tuned, x)
			}
		}
	}
	if len(seasons) == 0 {
		return Result{}, nil, errors.New("no season is left to play: give more years, or files that reach further back")
	}
	res := Result{Plans: []PlanResult{}, Stations: stationsOf(seasons), Seasons: len(seasons), Seed: t.Settings.Seed, Worst: []Worst{}}
	for _, plan := range r.Plans {
		plays := rivals.Plays[plan]
		if plan == Budcall {
			stories, err := t.Ours(ctx, r.Ours, seasons, r.Workers, false, r.Progress)
			if err != nil {
				return Result{}, nil, err
			}
			plays = PlaysOf(stories)
			if res.Worst, err = t.worst(ctx, r, plays); err != nil {
				return Result{}, nil, err
			}
		}
		res.Plans = append(res.Plans, Summarize(plan, plays))
	}
	return res, tuned, nil
}

// worst plays the ten worst seasons once more, and finds the reasons in what was
// told: kept for all of them it would fill the memory.
func (t *Trial) worst(ctx context.Context, r Request, plays map[*Season]Played) ([]Worst, error) {
	var again []*Season
	WorstOf(plays, func(s *Season, _ Played) string {
		again = append(again, s)
		return ""
	})
	stories, err := t.Ours(ctx, r.Ours, again, r.Workers, true, nil)
	if err != nil {
		return nil, err
	}
	return WorstOf(plays, func(s *Season, _ Played) string { return s.Reason(stories[s]) }), nil
}

// tunedFor keeps the seasons that the other plans could be played on, and
// refuses the others.
func (t *Trial) tunedFor(seasons []*Season, played map[*Season]Played) []*Season {
	return slices.DeleteFunc(slices.Clone(seasons), func(s *Season) bool {
		_, ok := played[s]
		if !ok {
			t.refuse(s, "the other plans have no years of the other half to be tuned on")
		}
		return !ok
	})
}

// refuse notes a year of a station that isn't played, once for all its sites.
func (t *Trial) refuse(s *Season, reason string) {
	r := Refused{s.Station, s.Year, reason}
	if !slices.Contains(t.Refused, r) {
		t.Refused = append(t.Refused, r)
	}
}

func stationsOf(seasons []*Season) int {
	seen := map[string]bool{}
	for _, s := range seasons {
		seen[s.Station] = true
	}
	return len(seen)
}
