package web

import (
	"slices"

	"strconv"
	"strings"

	"budcall/internal/call"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// Fields of surveys, checks, lots, and of answers beside a day.
const (
	fieldCatkins    = "catkins"
	fieldCount      = "count"
	fieldBare       = "bare"
	fieldFine       = "fine"
	fieldTorn       = "torn"
	fieldTornOf     = "torn_selfing"
	fieldTornCtl    = "torn_control"
	fieldGreenTip   = "green"
	fieldGot        = "received"
	fieldAwayFrom   = "away_from"
	fieldAwayUntil  = "away_until"
	fieldProblem    = "problem"
	valueAway       = "away"
	valueUnsafe     = "unsafe"
	valueNoPermit   = "no-permission"
	valueTorn       = "torn"
	valueOff        = "off"
	valueNone       = "none"
	maxCatkins      = 1_000_000
	maxProblemRunes = 1000
)

// readSurvey reads whether each tree bears catkins, and how many.
func (r *reading) readSurvey() {
	for _, t := range r.form.Item.Trees {
		at := "." + t.Short
		n, given := r.number(fieldCount+at, maxCatkins)
		switch v := r.value(fieldCatkins + at); {
		case v == valueNone && given && n > 0:
			r.wrong(fieldCount+at, words.ProblemBothCatkins, nil)
		case v == valueNone, v == "" && given && n == 0:
			r.say(trail.Report{Kind: trail.NoCatkins, Tree: t.Short})
		case v == valueYes, v == "" && given:
			r.say(trail.Report{Kind: trail.CatkinsSeen, Tree: t.Short, Count: n})
		case v != "":
			r.wrong(fieldCatkins+at, words.ProblemChoice, nil)
		}
	}
	if r.ticked(fieldBare) {
		for _, said := range r.out {
			if said.Kind == trail.CatkinsSeen {
				r.wrong(fieldBare, words.ProblemBothCatkins, nil)
				return
			}
		}
		r.say(trail.Report{Kind: trail.NoCatkins})
	}
}

// readCheck reads how each tree's bags were found, then for the rest whether
// all were whole.
func (r *reading) readCheck() {
	said := map[string]bool{}
	for _, t := range r.form.Item.Trees {
		at := "." + t.Short
		s, hasS := r.count(fieldTornOf + at)
		c, hasC := r.count(fieldTornCtl + at)
		v := r.value(fieldTorn + at)
		if v == "" && (hasS || hasC) && s+c > 0 {
			v = valueTorn
		}
		said[t.Short] = v != ""
		switch v {
		case "":
		case valueYes, valueOff:
			kind := trail.BagsFine
			if v == valueOff {
				kind = trail.BagsOff
			}
			if s+c > 0 {
				r.wrong(fieldTornOf+at, words.ProblemBothTorn, nil)
				continue
			}
			r.say(trail.Report{Kind: kind, Tree: t.Short})
		case valueTorn:
			r.most(fieldTornOf+at, s, t.Selfing)
			r.most(fieldTornCtl+at, c, t.Control)
			r.say(trail.Report{Kind: trail.BagsTorn, Tree: t.Short, Selfing: s, Control: c})
		default:
			r.wrong(fieldTorn+at, words.ProblemChoice, nil)
		}
	}
	for _, tree := range strings.Fields(r.value(fieldFine)) {
		if !r.has(tree) {
			r.wrong(fieldFine, words.ProblemChanged, nil)
			return
		}
		if !said[tree] {
			r.say(trail.Report{Kind: trail.BagsFine, Tree: tree})
		}
	}
}

// most refuses more torn bags than hang.
func (r *reading) most(field string, torn, hang int) {
	if torn > hang {
		r.wrong(field, words.ProblemCount, words.Args{"max": strconv.Itoa(hang)})
	}
}

// readGreenTips reads the trees that are left for their green tips.
func (r *reading) readGreenTips() {
	for _, t := range r.form.Item.Trees {
		if !r.ticked(fieldGreenTip + "." + t.Short) {
			continue
		}
		bagged := slices.ContainsFunc(r.out, func(s trail.Report) bool {
			return s.Kind == trail.BagsOn && s.Tree == t.Short && s.Selfing+s.Control > 0
		})
		if bagged {
			r.wrong(fieldGreenTip+"."+t.Short, words.ProblemBothGreen, nil)
		} else {
			r.say(trail.Report{Kind: trail.StageSeen, Tree: t.Short, BBCH: int(stage.BudBreak)})
		}
	}
}

// readLots reads the packets that the laboratory has received.
func (r *reading) readLots() {
	for _, t := range r.form.Item.Trees {
		at := "." + t.Short
		s, hasS := r.count(fieldSelfing + at)
		c, hasC := r.count(fieldControl + at)
		blank := "" // a box left empty isn't "none came"
		switch {
		case hasS && !hasC && t.Control > 0:
			blank = fieldControl + at
		case hasC && !hasS && t.Selfing > 0:
			blank = fieldSelfing + at
		}
		if blank != "" && r.sound(blank) {
			r.wrong(blank, words.ProblemCount, words.Args{"max": strconv.Itoa(trail.MostBags)})
			continue
		}
		if r.ticked(fieldGot+at) || (hasS || hasC) && s+c > 0 {
			r.say(trail.Report{Kind: trail.LotReceived, Tree: t.Short, Selfing: s, Control: c})
		}
	}
}

// readAway reads from when to when the person is away.
func (r *reading) readAway() {
	from, until := r.value(fieldAwayFrom), r.value(fieldAwayUntil)
	if from == "" || until == "" {
		field := fieldAwayFrom
		if from != "" {
			field = fieldAwayUntil
		}
		r.wrong(field, words.ProblemAwayDays, nil)
		return
	}
	first, ok1 := r.date(fieldAwayFrom, from)
	last, ok2 := r.date(fieldAwayUntil, until)
	switch {
	case !ok1 || !ok2:
	case last < first:
		r.wrong(fieldAwayUntil, words.ProblemAwayOrder, nil)
	case last < r.form.Today:
		r.wrong(fieldAwayUntil, words.ProblemPast, r.today())
	default:
		r.say(trail.Report{Kind: trail.Away, Day: r.form.Today, On: first, Until: last})
	}
}

// readProblem reads what somebody wrote of a problem.
func (r *reading) readProblem() {
	text := strings.Join(strings.Fields(r.value(fieldProblem)), " ")
	if len([]rune(text)) > maxProblemRunes {
		r.wrong(fieldProblem, words.ProblemLong, words.Args{"max": strconv.Itoa(maxProblemRunes)})
		return
	}
	if text != "" {
		r.say(trail.Report{Kind: trail.Problem, Note: text})
	}
}

// number is count with a limit of its own.
func (r *reading) number(field string, most int) (n int, given bool) {
	v := r.value(field)
	if v == "" {
		return 0, false
	}
	n, err := strconv.Atoi(v)
	if err != nil || n < 0 || n > most || strings.Trim(v, "0123456789") != "" {
		r.wrong(field, words.ProblemCount, words.Args{"max": strconv.Itoa(most)})
		return 0, false
	}
	return n, true
}

// choiceOf is one of several things to say of a tree.
func (b formBuilder) choicesOf(field string, options ...string) (out []choice) {
	labels := map[string]words.Key{
		"": words.FormNoWord, valueYes: words.FormWhole, valueTorn: words.FormTorn, valueOff: words.FormTreeOff, valueNone: words.FormNoCatkins,
	}
	for _, o := range options {
		label := labels[o]
		if o == valueYes && strings.HasPrefix(field, fieldCatkins) {
			label = words.FormBears
		}
		out = append(out, b.tick(field, o, b.c.Text(label)))
	}
	return out
}

// callTree fills in what a form asks of a tree in surveys, checks and lots.
func (b formBuilder) callTree(row *treeRow, short string) {
	at := "." + short
	switch b.f.Item.Task {
	case call.SurveyTrees:
		row.Field, row.Wrong = fieldCatkins+at, b.wrong[fieldCatkins+at]
		row.Options = b.choicesOf(fieldCatkins+at, "", valueYes, valueNone)
		row.Counts = []field{b.field(fieldCount+at, b.c.Text(words.FormCount))}
	case call.CheckBags:
		row.Field, row.Wrong = fieldTorn+at, b.wrong[fieldTorn+at]
		row.Options = b.choicesOf(fieldTorn+at, "", valueYes, valueTorn, valueOff)
		row.Counts = []field{b.field(fieldTornOf+at, b.c.Text(words.FormTornSelfing)), b.field(fieldTornCtl+at, b.c.Text(words.FormTornControl))}
	case call.LotExpected:
		row.Counts = []field{b.field(fieldSelfing+at, b.c.Text(words.FormSelfingPacks)), b.field(fieldControl+at, b.c.Text(words.FormControlPacks))}
		row.Ticks = []choice{b.tick(fieldGot+at, valueYes, b.c.Text(words.FormReceived))}
	}
}

// allFine gives the tick that says of every tree with bags that they are whole.
func (b formBuilder) allFine() choice {
	var trees []string
	for _, n := range b.f.asked() {
		trees = append(trees, n.Short)
	}
	return b.tick(fieldFine, strings.Join(trees, " "), b.c.Text(words.FormAllFine, words.Args{"trees": strings.Join(trees, ", ")}))
}
