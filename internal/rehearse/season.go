package rehearse

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"budcall/internal/civil"
)

// Season is one hidden season at one site. What a plan may ask of it at a
// moment is Observed, Forecast, Answer and Visit; Tree is the judge's.
type Season struct {
	Site, Station string
	Year          int
	First, Last   civil.Date // 1 January and 31 October

	set      Settings
	station  Station
	trees    []Tree
	observed []float64
	issued   [][]float64
	crew     map[Person]habits
	slips    chance
}

// Trees is the number of trees at the site.
func (s *Season) Trees() int { return len(s.trees) }

// Settings are the conditions under which the season is played.
func (s *Season) Settings() Settings { return s.set }

// Tree gives a tree's hidden truth. It is for the judge: a plan never sees it.
func (s *Season) Tree(i int) Tree { return s.trees[i] }

// Observed gives the daily means in °C from 1 January that are known on the
// morning of a day, those up to the day before; NaN where a reading is missing.
// The slice is the season's own: read it only.
func (s *Season) Observed(today civil.Date) []float64 {
	n := min(max(0, int(today-s.First)), len(s.observed))
	return s.observed[:n:n]
}

// Forecast gives the daily means in °C that are forecast on a day for that day
// and the following, ten in all. The slice is the season's own: read it only.
func (s *Season) Forecast(today civil.Date) []float64 {
	if i := int(today - s.First); i >= 0 && i < len(s.issued) {
		return s.issued[i]
	}
	return nil
}

// Climate gives the mean of each day from 1 January that the station's other
// years have, 366 of them; NaN with no other year.
func (s *Season) Climate() []float64 { return s.station.climate(s.Year) }

// Answer says when, if ever, a person asked at a moment to go within days, best
// on one of them, answers, and on which day they go.
func (s *Season) Answer(p Person, at time.Time, days civil.Range, best civil.Date) Reply {
	return s.crew[p].answer(at, days, best)
}

// Report is what a person at a tree says of it on a day.
type Report struct {
	Tree   int
	Day    civil.Date
	Leaf   int // the latest of 01, 07, 11 that is seen; 0: buds closed
	Flower int // the latest of 60, 65, 69 (of the district) that is seen; 0: none
	Ripe   bool
	Shed   bool
}

// Chances that what is seen on a day is the state of the day before, or after.
const slipShare = 0.15

// slip is by how many days a season's visit on a day is off: the report says the
// state of the day before with 15 in 100, of the day after with 15 in 100. That
// is the same as "seen on" written a day off, but never dates a report in the
// future. Everybody at the site on that day errs alike.
func (s *Season) slip(day civil.Date) civil.Date {
	switch u := s.slips.at(int(day)).uniform(); {
	case u < slipShare:
		return -1
	case u < 2*slipShare:
		return 1
	}
	return 0
}

// Visit gives what a person at a tree on a day reports of it.
func (s *Season) Visit(tree int, day civil.Date) Report {
	seen := day + s.slip(day)
	t := s.trees[tree]
	r := Report{Tree: tree, Day: day}
	for _, st := range s.set.Stages {
		if on := t.Reached[st.Code]; on.IsZero() || on > seen {
			continue
		}
		switch {
		case st.Code < Flowering:
			r.Leaf = st.Code
		case st.Code < SeedRipe:
			r.Flower = st.Code
		case st.Code == SeedRipe:
			r.Ripe = true
		}
	}
	r.Shed = !t.Shed.IsZero() && t.Shed <= seen
	return r
}

// Records gives the reports that a spring's lead would have on file: every tree,
// on the first of their free days at least `every` days after the last visit,
// from 1 March to the season's end.
func (s *Season) Records(every int) []Report {
	var out []Report
	next := civil.Of(s.Year, time.March, 1)
	for d := next; d <= s.Last; d++ {
		if d < next || !s.crew[Lead].free[d.Weekday()] {
			continue
		}
		for i := range s.trees {
			out = append(out, s.Visit(i, d))
		}
		next = d + civil.Date(every)
	}
	return out
}

// newSeason draws one season. temps are the station's true means, from 1
// January, without holes.
func newSeason(st stand, station Station, year int, temps []float64) *Season {
	first, last := civil.Of(year, time.January, 1), civil.Of(year, time.October, 31)
	days := int(last-first) + 1
	name := strconv.Itoa(year)
	s := &Season{
		Site: st.site, Station: station.Name, Year: year, First: first, Last: last,
		set: st.set, station: station,
		observed: holed(chanceOf(st.set.Seed, "gaps", station.Name, name), station.Means[year], days),
		issued:   forecasts(chanceOf(st.set.Seed, "forecast", station.Name, name), temps, days),
		crew:     map[Person]habits{},
		slips:    chanceOf(st.set.Seed, "slips", st.site, name),
	}
	for _, p := range People {
		s.crew[p] = habitsOf(chanceOf(st.set.Seed, "person", st.site, name, string(p)), p, st.set)
	}
	s.trees = st.trees(year, air(temps, st.set.TreesAboveM), station.LatitudeDeg, days)
	return s
}

// lapseKPerM is by how much air cools with height: 6.5 K a kilometre (ICAO
// standard atmosphere).
const lapseKPerM = 0.0065

// air gives the temperatures at the trees.
func air(temps []float64, aboveM float64) []float64 {
	out := make([]float64, len(temps))
	for i, t := range temps {
		out[i] = t - lapseKPerM*aboveM
	}
	return out
}

// trees draws a season's dates.
func (s stand) trees(year int, temps []float64, latitudeDeg float64, days int) []Tree {
	temps = temps[:days]
	sums := make([][]float64, len(s.needs))
	for k, st := range s.set.Stages {
		sums[k] = s.set.Heat.sums(st, latitudeDeg, year, temps)
	}
	ripe, _ := s.set.stage(SeedRipe)
	seed := OfProfile.sums(ripe, latitudeDeg, year, temps)
	first := civil.Of(year, time.January, 1)
	date := func(day, shift int) civil.Date {
		if day < 0 || day+shift >= days {
			return 0
		}
		return first + civil.Date(max(0, day+shift))
	}
	district := s.district(year)
	out := make([]Tree, s.set.Trees)
	for i := range out {
		t := Tree{Reached: map[int]civil.Date{}}
		shift := s.apart(i)
		for k, log := range s.needsOf(i, year, district) {
			day := firstReached(sums[k], math.Exp(log))
			switch code := s.set.Stages[k].Code; code {
			case FlowerEnd:
				t.Reached[code] = date(day, 0)
			case SeedRipe:
				t.Reached[code] = date(day, shift)
				if day >= 0 {
					t.Shed = date(firstReached(seed, seed[day]+s.set.ShedAfterCd), shift)
				}
			default:
				t.Reached[code] = date(day, shift)
			}
		}
		t.notAfterDistrict()
		out[i] = t
	}
	return out
}

// notAfterDistrict keeps a tree that was shifted from flowering when the
// district no longer does: its stages are cut to that day.
func (t Tree) notAfterDistrict() {
	over := t.Reached[FlowerEnd]
	if over.IsZero() {
		return
	}
	for _, code := range []int{1, 7, 60, 65} {
		if d, ok := t.Reached[code]; ok && (d.IsZero() || d > over) {
			t.Reached[code] = over
		}
	}
}

// String names the season.
func (s *Season) String() string { return fmt.Sprintf("%s %d", s.Site, s.Year) }
