package config

import (
	"fmt"
	"path"
	"regexp"
	"sort"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/stage"
)

var profileName = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

// readProfiles reads the species: what heat their stages need.
func (r *reading) readProfiles() {
	files := r.in(profilesDir)
	if len(files) == 0 {
		e := entry{found: &r.findings, file: profilesDir + "/"}
		e.problem("there is no profile", "copy profiles/silver-birch.yml from the example folder")
		r.profiles.partial = true
	}
	for _, file := range files {
		key := strings.TrimSuffix(path.Base(file), ".yml")
		e := r.open(file)
		if !profileName.MatchString(key) {
			e.problem("a profile can't have this file name", "small letters a-z, digits and hyphens: silver-birch.yml")
			continue
		}
		e.line = max(e.line, 1)
		r.profiles.define(e, key)
		if top := e.section(); top.set() {
			r.programme.Profiles[key] = readProfile(key, top)
		}
	}
}

func readProfile(key string, top *section) stage.Profile {
	p := stage.Profile{Key: key, Species: top.need("species", "the plant's name").text()}
	list := top.need("stages", "a list of stages, each with code, name, method, base_c, start, median_cd, log_sd and source")
	seen := newCodes("stage", path.Base(top.file))
	for _, e := range list.list() {
		s := e.section()
		code := s.need("code", "the stage's BBCH code, 0 to 99")
		st, ok := readStage(s, code)
		if ok {
			seen.define(code, st.Code.String())
			p.Stages = append(p.Stages, st)
		} else {
			seen.partial = true
		}
	}
	sort.SliceStable(p.Stages, func(i, j int) bool { return p.Stages[i].Code < p.Stages[j].Code })
	if list.set() && !seen.partial {
		complete(list, p)
		for _, order := range stageOrders {
			ascending(seen, p, order)
		}
	}
	readHeats(top.get("heats"), &p)
	top.done()
	return p
}

// readStage reads one stage; false where anything of it can't be used.
func readStage(s *section, code entry) (stage.Stage, bool) {
	before := len(s.found.problems)
	bbch, _ := code.whole(bounds{0, 99, "a BBCH code"})
	st := stage.Stage{
		Code:   stage.BBCH(bbch),
		Name:   s.need("name", "what is seen, in plain words").text(),
		Source: s.need("source", "where the numbers are from, or: our assumption").prose(),
	}
	st.Heat.Rule = readRule(s)
	st.Heat.Start, _ = s.need("start", "the day from which heat counts, such as 1 March").monthDay()
	st.MedianCd, _ = s.need("median_cd", "degree days Celsius that half of the trees need").number(bounds{1, 5000, "degree days Celsius, not Fahrenheit"})
	st.LogSD, _ = s.need("log_sd", "the spread of the need on the natural log scale").number(bounds{0.01, 1.5, "natural log scale; 0.2 is about 20 in 100"})
	s.done()
	return st, len(s.found.problems) == before && s.set()
}

// needed are the stages that calls hang on, and what hangs on them.
var needed = []struct {
	code stage.BBCH
	what string
}{
	{stage.BudSwelling, "the kit is sent before it"},
	{stage.BudBreak, "bags must be on before it"},
	{stage.Flowering, "bags may not hang long before it"},
	{stage.FloweringOver, "bags come off after it"},
	{stage.SeedRipe, "seed is picked from it on"},
}

// complete reports stages that calls hang on and that a profile lacks.
func complete(list entry, p stage.Profile) {
	for _, n := range needed {
		if _, ok := p.Find(n.code); !ok {
			list.problem(fmt.Sprintf("stage %s is missing: %s", n.code, n.what), "add it")
		}
	}
}

// stageOrders are the two series that run side by side in spring, each in the
// order in which a tree goes through it.
var stageOrders = [][]stage.BBCH{
	{stage.BudSwelling, stage.BudBreak, stage.LeavesUnfolded},
	{stage.BudSwelling, stage.BudBreak, stage.Flowering, stage.FullFlowering, stage.FloweringOver, stage.SeedRipe},
}

// ascending reports a stage that needs less heat of the same kind than the one
// before it.
func ascending(seen *codes, p stage.Profile, order []stage.BBCH) {
	var last stage.Stage
	for _, code := range order {
		s, ok := p.Find(code)
		if !ok {
			continue
		}
		if sameHeat(s.Heat, last.Heat) && s.MedianCd <= last.MedianCd && last.Heat.Start != (civil.MonthDay{}) {
			seen.defined[code.String()].problem(fmt.Sprintf("stage %s needs %s °C·d, not more than stage %s before it with %s", code, plain(s.MedianCd), last.Code, plain(last.MedianCd)), "a tree goes through them in this order")
		}
		last = s
	}
}
