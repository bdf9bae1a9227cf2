package web

import (
	"budcall/internal/trail"
)

// counting gives, of reports with the newest first, those that no later one
// has taken the place of: what is known, and not how it came to be.
func counting(reports []trail.Report) (list []trail.Report) {
	type subject struct {
		about, tree, person string
		bbch                int
	}
	later := map[subject]bool{}
	for _, r := range reports {
		s := subject{about: about(r.Kind), tree: r.Tree, bbch: r.BBCH}
		if r.Kind.Answer() {
			s.person = r.Person
		}
		if s.about != "" && later[s] {
			continue
		}
		later[s] = true
		list = append(list, r)
	}
	return list
}

// about is what a kind of report says something of, so that a later word on it
// takes its place; empty where every report stays true.
func about(k trail.Kind) string {
	switch k {
	case trail.BagsTorn, trail.Problem:
		return ""
	case trail.StageSeen, trail.NotYet:
		return "stage"
	case trail.CatkinsSeen, trail.NoCatkins:
		return "catkins"
	case trail.Picked, trail.NothingToPick:
		return "seed"
	case trail.SeedBrown, trail.SeedGreen:
		return "look at the seed"
	}
	if k.Answer() {
		return "answer"
	}
	return string(k)
}
