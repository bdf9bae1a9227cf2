package hindcast

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"budcall/internal/civil"
)

// choice is the observations of one request, and what is to be said of them.
type choice struct {
	kept  []Observation
	notes []string
}

func (c *choice) note(line int, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if line > 0 {
		text = fmt.Sprintf("line %d: %s", line, text)
	}
	c.notes = append(c.notes, text)
}

// wants reports whether an observation is of what is asked for.
func (r Request) wants(o Observation) bool {
	return (r.Series == "" || strings.EqualFold(o.Series, r.Series)) && strings.EqualFold(o.Species, r.Species) && strings.EqualFold(o.Phase, r.Phase)
}

// key is a plant in a year.
type key struct {
	site, tree string
	year       int
}

func keyOf(o Observation) key { return key{o.Site, o.Tree, o.Year} }

// choose picks a request's observations, and leaves out with a word those that
// can't be.
func choose(all []Observation, refused []Refusal, r Request) choice {
	var c choice
	for _, x := range refused {
		if x.of.Phase == "" || x.of.Species == "" || r.wants(x.of) {
			c.note(x.Line, "%s", x.Reason)
		}
	}
	all = c.named(all, r)
	first := map[key]Observation{}
	refusals := map[string][]Observation{}
	for _, o := range all {
		if !r.wants(o) {
			continue
		}
		if why, ok := r.possible(o); !ok {
			refusals[why] = append(refusals[why], o)
			continue
		}
		if before, twice := first[keyOf(o)]; twice {
			c.note(o.Line, "%s in %d is there twice, on line %d too: the first is used, keep one", plantName(o), o.Year, before.Line)
			continue
		}
		first[keyOf(o)] = o
		c.kept = append(c.kept, o)
	}
	for _, why := range sortedKeys(refusals) {
		c.refuse(why, refusals[why])
	}
	c.reversed(all, r)
	c.outlying()
	c.moved()
	return c
}

// named tells apart the sites of several series that are scored as one.
func (c *choice) named(all []Observation, r Request) []Observation {
	series := map[string]bool{}
	for _, o := range all {
		if r.wants(o) {
			series[o.Series] = true
		}
	}
	if len(series) < 2 || r.Series != "" {
		return all
	}
	c.note(0, "the series %s are scored as one: ask for one of them to score it apart", strings.Join(sortedKeys(series), ", "))
	all = slices.Clone(all)
	for i, o := range all {
		all[i].Site = o.Series + " " + o.Site
	}
	return all
}

// possible reports whether an observation can be learned from, and why not.
func (r Request) possible(o Observation) (why string, ok bool) {
	heated := earliestStart().In(o.Year)
	switch {
	case r.Today != 0 && o.Day > r.Today:
		return fmt.Sprintf("in the future, today is %s", r.Today), false
	case o.Day < heated:
		return fmt.Sprintf("before %d %s, the first day of any heat here", heated.Day(), heated.Month()), false
	case dayOfYear(o) >= daysOfYear:
		return "the last day of a leap year", false
	}
	return "", true
}

// refuse tells of observations that aren't used, all of one reason together.
func (c *choice) refuse(why string, obs []Observation) {
	if len(obs) == 1 {
		c.note(obs[0].Line, "%s on %s is %s: it isn't used, correct it", plantName(obs[0]), obs[0].Day, why)
		return
	}
	var lines []int
	first, last := obs[0].Day, obs[0].Day
	for _, o := range obs {
		lines, first, last = append(lines, o.Line), min(first, o.Day), max(last, o.Day)
	}
	c.note(0, "lines %s: %d dates, %s to %s, are %s: they aren't used, correct them", spans(lines), len(obs), first, last, why)
}

// earliestStart is the first day from which any of the heats is counted.
func earliestStart() civil.MonthDay {
	first := march1
	for _, f := range families() {
		for _, w := range f.warmths {
			if w.Start.In(2001) < first.In(2001) {
				first = w.Start
			}
		}
	}
	return first
}

// A date is worth a second look if it is so many days off the plant's median
// and so many times the usual distance. Our assumption; six times the median
// distance is about four standard deviations.
const (
	outlyingDays  = 21
	outlyingTimes = 6
)

// outlying tells of dates far from the others of the same plant.
func (c *choice) outlying() {
	days := map[string][]float64{}
	for _, o := range c.kept {
		days[plantName(o)] = append(days[plantName(o)], float64(dayOfYear(o)))
	}
	var off []float64
	middle := map[string]float64{}
	for name, d := range days {
		middle[name] = median(d)
		for _, x := range d {
			off = append(off, math.Abs(x-middle[name]))
		}
	}
	usual := median(off)
	for _, o := range c.kept {
		if d := float64(dayOfYear(o)) - middle[plantName(o)]; math.Abs(d) > max(outlyingDays, outlyingTimes*usual) && len(days[plantName(o)]) > fewestYears {
			c.note(o.Line, "%s on %s is %.0f days from the median of its %d years: it is used, check it", plantName(o), o.Day, math.Abs(d), len(days[plantName(o)]))
		}
	}
}

func median(x []float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	if len(x) == 0 {
		return math.NaN()
	}
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// moved tells of plants whose temperatures come from another file from some
// year on.
func (c *choice) moved() {
	years := map[string]map[string][]int{}
	for _, o := range c.kept {
		if years[o.Site] == nil {
			years[o.Site] = map[string][]int{}
		}
		years[o.Site][o.TemperatureFile] = append(years[o.Site][o.TemperatureFile], o.Year)
	}
	for _, site := range sortedKeys(years) {
		if len(years[site]) < 2 {
			continue
		}
		var parts []string
		for _, file := range sortedKeys(years[site]) {
			parts = append(parts, fmt.Sprintf("%q in %s", file, spans(years[site][file])))
		}
		c.note(0, "%s has its temperatures from %s: they are taken as of one place, so a difference between them looks like a change of the plants", site, strings.Join(parts, " and from "))
	}
}
