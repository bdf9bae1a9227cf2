package config

import (
	"fmt"
	"slices"
	"strings"

	"budcall/internal/stage"
)

// The ways in which a profile's other heats count.
const (
	respondAbove   = "above-base"
	respondDay     = "day-length"
	respondGradual = "logistic"
	respondFitted  = "fitted"
)

// mostHeats is how many other heats a profile may have: each costs a forecast
// of its own.
const mostHeats = 8

// readHeats reads the heats of which a profile's forecast is the pool, beside
// its stages' own.
func readHeats(list entry, p *stage.Profile) {
	items := list.list()
	if len(items) > mostHeats {
		list.problem(fmt.Sprintf("has %d heats", len(items)), fmt.Sprintf("at most %d; three or four serve as well as more", mostHeats))
	}
	names := map[string]int{}
	for _, e := range items {
		s := e.section()
		h := readHeat(s, *p)
		if first, twice := names[h.Name]; twice && h.Name != "" {
			e.problem(fmt.Sprintf("there are two heats called %q, the other on line %d", h.Name, first), "give one of them another name")
		}
		names[h.Name] = e.line
		p.Heats = append(p.Heats, h)
	}
}

func readHeat(s *section, p stage.Profile) stage.Counting {
	h := stage.Counting{Name: s.need("name", "a name for the heat, for messages").text(), Weight: 1}
	response := s.need("response", "one of above-base, day-length, logistic, fitted")
	kind := response.choice(respondAbove, respondDay, respondGradual, respondFitted)
	base, centre, start := s.get("base_c"), s.get("centre_c"), s.get("start")
	switch kind {
	case respondAbove, respondDay:
		h.Warmth.Response = map[string]stage.Response{respondAbove: stage.AboveBase, respondDay: stage.DayLength}[kind]
		h.Warmth.BaseC, _ = s.need("base_c", "the temperature below which nothing counts, in degrees Celsius").number(bounds{-5, 20, "degrees Celsius, not Fahrenheit"})
		useless(centre, "only a logistic response has a centre", "remove the line, or write base_c")
	case respondGradual:
		h.Warmth.Response = stage.Logistic
		h.Warmth.BaseC, _ = s.need("centre_c", "the temperature at which a day counts half, in degrees Celsius").number(bounds{0, 25, "degrees Celsius, not Fahrenheit"})
		useless(base, "a logistic response has no base", "remove the line, or write centre_c")
	case respondFitted:
		h.Fitted = true
		for _, e := range []entry{base, centre, start} {
			useless(e, "is chosen by past reports where the response is fitted", "remove the line")
		}
	}
	if kind != "" && kind != respondFitted {
		h.Warmth.Start, _ = s.need("start", "the day from which heat counts, such as 1 March").monthDay()
	}
	if w, ok := s.get("weight").number(bounds{0.01, 100, "a share beside the others; the stages' own heat has 1"}); ok {
		h.Weight = w
	}
	h.Needs = readNeeds(s.get("needs"), p, h.Fitted)
	s.done()
	return h
}

func useless(e entry, what, cure string) {
	if e.set() {
		e.problem(what, cure)
	}
}

// readNeeds reads what stages need in another heat, where that is known.
func readNeeds(list entry, p stage.Profile, fitted bool) map[stage.BBCH]stage.Requirement {
	if fitted {
		useless(list, "are found by past reports where the response is fitted", "remove them")
		return nil
	}
	needs := map[stage.BBCH]stage.Requirement{}
	for _, e := range list.list() {
		s := e.section()
		code := s.need("code", "the code of one of the profile's stages")
		bbch, ok := code.whole(bounds{0, 99, "a BBCH code"})
		var need stage.Requirement
		need.MedianCd, _ = s.need("median_cd", "what half of the trees need in this heat").number(bounds{1, 20000, "the sum of this heat"})
		need.LogSD, _ = s.need("log_sd", "the spread of the need on the natural log scale").number(bounds{0.01, 1.5, "natural log scale; 0.2 is about 20 in 100"})
		s.done()
		_, known := p.Find(stage.BBCH(bbch))
		_, twice := needs[stage.BBCH(bbch)]
		switch {
		case !ok:
		case !known && len(p.Stages) > 0:
			code.problem(fmt.Sprintf("the profile has no stage %02d", bbch), "name one of its stages")
		case twice:
			code.problem(fmt.Sprintf("stage %02d is there twice", bbch), "keep one")
		default:
			needs[stage.BBCH(bbch)] = need
		}
	}
	return needs
}

// countingOf writes another heat as people say it.
func countingOf(h stage.Counting) string {
	w := h.Warmth
	from := fmt.Sprintf("%d %s", w.Start.Day, w.Start.Month)
	switch {
	case h.Fitted:
		return "base and start by past reports"
	case w.Response == stage.DayLength:
		return fmt.Sprintf("above %s °C by day length, from %s", plain(w.BaseC), from)
	case w.Response == stage.Logistic:
		return fmt.Sprintf("logistic about %s °C, from %s", plain(w.BaseC), from)
	}
	return fmt.Sprintf("above %s °C, from %s", plain(w.BaseC), from)
}

// needsOf lists the stages of which the need is given.
func needsOf(h stage.Counting) string {
	if len(h.Needs) == 0 {
		return "carried over"
	}
	var codes []string
	for code, need := range h.Needs {
		codes = append(codes, fmt.Sprintf("%s: %s", code, plain(need.MedianCd)))
	}
	slices.Sort(codes)
	return strings.Join(codes, ", ")
}
