package web

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// The fields of a form. Those of a tree have its short name after a dot, those
// of a stage its code.
const (
	fieldKey      = "key"
	fieldDay      = "day"
	fieldAnswer   = "answer"
	fieldOtherDay = "other_day"
	fieldSeen     = "seen"
	fieldAll      = "all"
	fieldSelfing  = "selfing"
	fieldControl  = "control"
	fieldOff      = "off"
	fieldNone     = "none"
	fieldNothing  = "nothing"
	fieldSeed     = "seed"
	fieldKit      = "kit"
	fieldNoted    = "understood"
)

// The values that fields have.
const (
	valueYes    = "yes"
	valueNo     = "no"
	valueOther  = "other"
	valueCannot = "cannot"
	valueBrown  = "brown"
	valueGreen  = "green"
)

// problem is something to mend in a form.
type problem struct {
	Field string // empty for the form as a whole
	Key   words.Key
	Args  words.Args
}

// reading is a form being read.
type reading struct {
	in       url.Values
	form     Form
	day      civil.Date
	out      []trail.Report
	problems []problem
	stages   map[int]bool // what was said of each stage: seen or not yet
}

// reports reads what a form says. The reports are in the order in which they
// count, an answer last; they lack only the moment at which they came. Where
// there is a problem none of them may be stored. A field that the form of the
// call doesn't have is a problem unless it is empty, so that nothing that
// somebody filled in is lost in silence.
func reports(in url.Values, f Form) ([]trail.Report, []problem) {
	r := &reading{in: in, form: f, stages: map[int]bool{}}
	r.refuseStrangers()
	r.readDay()
	r.readStages()
	switch f.Item.Task {
	case call.SurveyTrees:
		r.readSurvey()
	case call.CheckBags:
		r.readCheck()
	case call.LotExpected:
		r.readLots()
	case call.BagOn:
		r.readBagsOn()
		r.readGreenTips()
	case call.TakeOff:
		r.readBagsOff()
	case call.LookAtSeed:
		r.choose(fieldSeed, map[string]trail.Kind{valueBrown: trail.SeedBrown, valueGreen: trail.SeedGreen})
		r.readPicked()
	case call.PickSeed:
		r.readPicked()
	case call.SendKit:
		r.choose(fieldKit, map[string]trail.Kind{valueYes: trail.KitArrived})
	case call.ShortSeason:
		r.choose(fieldNoted, map[string]trail.Kind{valueYes: trail.Understood})
	}
	r.readProblem()
	r.readAnswer()
	if len(r.out) == 0 && len(r.problems) == 0 {
		r.wrong("", words.ProblemNothing, nil)
	}
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	return r.out, nil
}

func (r *reading) wrong(field string, k words.Key, args words.Args) {
	r.problems = append(r.problems, problem{Field: field, Key: k, Args: args})
}

// say adds a report about the day of the form.
func (r *reading) say(rep trail.Report) {
	c := r.form.Claim
	rep.Person, rep.Site, rep.Task, rep.Way = c.Person, c.Site, string(r.form.Item.Task), "form"
	if rep.Day == 0 {
		rep.Day = r.day
	}
	r.out = append(r.out, rep)
}

// value gives what a field holds; the same value twice is one.
func (r *reading) value(field string) string {
	all := r.in[field]
	if len(all) == 0 {
		return ""
	}
	v := strings.TrimSpace(all[0])
	for _, other := range all[1:] {
		if strings.TrimSpace(other) != v {
			r.wrong(field, words.ProblemTwice, nil)
			return ""
		}
	}
	return v
}

// choose reads a field that says one of a few things.
func (r *reading) choose(field string, kinds map[string]trail.Kind) bool {
	v := r.value(field)
	if v == "" {
		return false
	}
	k, ok := kinds[v]
	if !ok {
		r.wrong(field, words.ProblemChoice, nil)
		return false
	}
	r.say(trail.Report{Kind: k})
	return true
}

// count reads a number of bags or packets; given is false where there is none.
func (r *reading) count(field string) (n int, given bool) {
	v := r.value(field)
	if v == "" {
		return 0, false
	}
	n, ok := parseCount(v)
	if !ok {
		r.wrong(field, words.ProblemCount, words.Args{"max": strconv.Itoa(trail.MostBags)})
	}
	return n, ok
}

func parseCount(v string) (int, bool) {
	if v == "" || len(v) > 6 || strings.Trim(v, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(v)
	return n, err == nil && n <= trail.MostBags
}

// refuseStrangers finds what is filled in but not asked for by this form.
func (r *reading) refuseStrangers() {
	known := fieldsOf(r.form)
	names := make([]string, 0, len(r.in))
	for name := range r.in {
		names = append(names, name)
	}
	slices.Sort(names)
	changed := false
	for _, name := range names {
		if known[name] || !filled(r.in[name]) {
			continue
		}
		kind, tree, _ := strings.Cut(name, ".")
		if tree != "" && known[kind+"."] {
			r.wrong("", words.ProblemTree, words.Args{"tree": clip(tree)})
			continue
		}
		changed = true
	}
	if changed {
		r.wrong("", words.ProblemChanged, nil)
	}
}

func filled(values []string) bool {
	return slices.ContainsFunc(values, func(v string) bool { return strings.TrimSpace(v) != "" })
}

// clip shortens what somebody sent before it is shown.
func clip(s string) string {
	const most = 20
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return s
}
