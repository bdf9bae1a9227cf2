package rehearse

import (
	"math"
	"strconv"

	"budcall/internal/civil"
)

// Tree is the hidden truth of one tree in one season: the first day on which
// each stage is reached; the zero date where it isn't by 31 October.
type Tree struct {
	Reached map[int]civil.Date // by BBCH code
	Shed    civil.Date
}

// rhoPlace and rhoYear are the correlations of neighbouring stages.
const (
	rhoPlace = 0.85
	rhoYear  = 0.7
	redraws  = 200
)

// pairs of codes whose needs keep their order, the later first: the cutting
// down in inOrder goes from the season's end to its start.
var order = [][2]int{{65, 69}, {60, 65}, {60, 69}, {7, 60}, {1, 7}}

// chain gives standard Gaussian numbers, one a stage, neighbours correlated by
// rho.
func chain(at chance, n int, rho float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = at.at(i).normal()
		if i > 0 {
			out[i] = rho*out[i-1] + math.Sqrt(1-rho*rho)*out[i]
		}
	}
	return out
}

// stand is a site whose truth is drawn: its settings, its needs in terms of the
// true heat, and its names in the draws.
type stand struct {
	set   Settings
	site  string
	needs []need // beside set.Stages
}

// logNeeds gives ln need of every stage for one tree in one year; attempt
// counts the drawings of the residual.
func (s stand) logNeeds(tree string, year, attempt int) []float64 {
	seed, n, y := s.set.Seed, len(s.needs), strconv.Itoa(year)
	place := chain(chanceOf(seed, "site", s.site), n, rhoPlace)
	own := chain(chanceOf(seed, "tree", s.site, tree), n, rhoPlace)
	spring := chain(chanceOf(seed, "year", s.site, y), n, rhoYear)
	rest := chain(chanceOf(seed, "residual", s.site, y, tree).at(attempt), n, 0)
	sh := s.set.Shares
	out := make([]float64, n)
	for k, need := range s.needs {
		z := math.Sqrt(sh.Site)*place[k] + math.Sqrt(sh.Tree)*own[k] + math.Sqrt(sh.Year)*spring[k] + math.Sqrt(sh.Residual)*rest[k]
		out[k] = math.Log(need.median) + need.logSD*z
	}
	return out
}

// needsOf gives ln need of every stage for a tree, in order, stage 69 being the
// district's.
func (s stand) needsOf(tree int, year int, district float64) []float64 {
	var out []float64
	for attempt := range redraws {
		out = s.logNeeds(strconv.Itoa(tree), year, attempt)
		out[s.index(FlowerEnd)] = district
		if s.ordered(out) {
			return out
		}
	}
	s.inOrder(out)
	return out
}

// district gives ln need of stage 69 of the site's district in a year.
func (s stand) district(year int) float64 {
	return s.logNeeds("district", year, 0)[s.index(FlowerEnd)]
}

func (s stand) index(code int) int {
	for k, st := range s.set.Stages {
		if st.Code == code {
			return k
		}
	}
	return -1
}

// ordered reports whether log needs keep the order of stages.
func (s stand) ordered(logs []float64) bool {
	for _, p := range order {
		a, b := s.index(p[0]), s.index(p[1])
		if a < 0 || b < 0 {
			continue
		}
		if logs[a] > logs[b] || logs[a] == logs[b] && p != [2]int{7, 60} {
			return false
		}
	}
	k := s.index(11)
	return k < 0 || logs[k] > logs[s.index(BudBreak)]
}

// inOrder cuts earlier needs down to just below later ones, and raises 11 to
// just above 07.
func (s stand) inOrder(logs []float64) {
	const just = 0.001
	for _, p := range order {
		a, b := s.index(p[0]), s.index(p[1])
		if a < 0 || b < 0 {
			continue
		}
		gap := just
		if p == [2]int{7, 60} {
			gap = 0
		}
		logs[a] = min(logs[a], logs[b]-gap)
	}
	if k := s.index(11); k >= 0 {
		logs[k] = max(logs[k], logs[s.index(BudBreak)]+just)
	}
}

// apart gives the days by which a tree is shifted so that a site's first and
// last tree lie the set days apart, evenly.
func (s stand) apart(tree int) int {
	n := s.set.Trees
	if n < 2 {
		return 0
	}
	d := float64(s.set.TreesApartDays)
	return int(math.Floor(d*float64(tree)/float64(n-1) - d/2 + 0.5))
}
