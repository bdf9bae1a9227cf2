package web

import (
	"slices"
	"strings"

	"budcall/internal/notice"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// readBagsOn reads the bags on each tree: those filled in, then for the rest
// what the tick for all of them says. The numbers are all bags on the tree;
// one left empty stays as last reported.
func (r *reading) readBagsOn() {
	done := map[string]bool{}
	for _, t := range r.form.Item.Trees {
		s, hasS := r.count(fieldSelfing + "." + t.Short)
		c, hasC := r.count(fieldControl + "." + t.Short)
		if !hasS && !hasC {
			continue
		}
		onS, onC := r.form.bagsOn(t.Short)
		if !hasS {
			s = onS
		}
		if !hasC {
			c = onC
		}
		done[t.Short] = true
		r.say(trail.Report{Kind: trail.BagsOn, Tree: t.Short, Selfing: s, Control: c})
	}
	for _, part := range r.all() {
		tree, counts, _ := strings.Cut(part, "=")
		a, b, _ := strings.Cut(counts, "+")
		s, ok1 := parseCount(a)
		c, ok2 := parseCount(b)
		switch {
		case !ok1 || !ok2 || !r.has(tree):
			r.wrong(fieldAll, words.ProblemChanged, nil)
			return
		case !done[tree]:
			done[tree] = true
			r.say(trail.Report{Kind: trail.BagsOn, Tree: tree, Selfing: s, Control: c})
		}
	}
}

// readBagsOff reads the trees whose bags are off.
func (r *reading) readBagsOff() {
	done := map[string]bool{}
	for _, t := range r.form.Item.Trees {
		if r.ticked(fieldOff + "." + t.Short) {
			done[t.Short] = true
			r.say(trail.Report{Kind: trail.BagsOff, Tree: t.Short})
		}
	}
	for _, tree := range r.all() {
		switch {
		case !r.has(tree):
			r.wrong(fieldAll, words.ProblemChanged, nil)
			return
		case !done[tree]:
			done[tree] = true
			r.say(trail.Report{Kind: trail.BagsOff, Tree: tree})
		}
	}
}

// readPicked reads the packets of each tree, or that there was nothing.
func (r *reading) readPicked() {
	packets := false
	for _, t := range r.form.Item.Trees {
		field := fieldSelfing + "." + t.Short
		s, hasS := r.count(field)
		c, hasC := r.count(fieldControl + "." + t.Short)
		none := r.ticked(fieldNone + "." + t.Short)
		switch {
		case none && s+c > 0:
			r.wrong(field, words.ProblemBothPicked, nil)
		case none:
			r.say(trail.Report{Kind: trail.NothingToPick, Tree: t.Short})
		case s+c > 0:
			packets = true
			r.say(trail.Report{Kind: trail.Picked, Tree: t.Short, Selfing: s, Control: c})
		case hasS && hasC:
			r.wrong(field, words.ProblemZeroPacks, nil)
		case hasS != hasC && r.sound(field, fieldControl+"."+t.Short):
			r.wrong(field, words.ProblemZeroPacks, nil)
		}
	}
	if !r.ticked(fieldNothing) {
		return
	}
	if packets {
		r.wrong(fieldNothing, words.ProblemNothingAtAll, nil)
		return
	}
	r.say(trail.Report{Kind: trail.NothingToPick})
}

// sound reports whether no problem was found with any of the fields yet.
func (r *reading) sound(fields ...string) bool {
	for _, p := range r.problems {
		for _, f := range fields {
			if p.Field == f {
				return false
			}
		}
	}
	return true
}

// all reads the tick for all trees. It carries what the form showed beside it,
// so that sending the form twice says the same twice.
func (r *reading) all() []string { return strings.Fields(r.value(fieldAll)) }

func (r *reading) ticked(field string) bool {
	v := r.value(field)
	if v != "" && v != valueYes {
		r.wrong(field, words.ProblemChoice, nil)
	}
	return v == valueYes
}

func (r *reading) has(short string) bool {
	return slices.ContainsFunc(r.form.Item.Trees, func(t notice.TreeNeed) bool { return t.Short == short })
}
