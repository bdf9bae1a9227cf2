package report

import (
	"slices"
	"strings"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

// statement is what a line says of one tree, or of the site.
type statement struct {
	line int // where it stands
	trail.Report
}

// reader reads the lines of one mail.
type reader struct {
	words   *Vocabulary
	scope   *scope
	written civil.Date
}

// clause is a stretch of a line that says one thing: trees and what of them.
type clause struct {
	site  int // named before the trees, -1: not named
	trees []treeRef
	day   civil.Date // when it was done; 0: the day of writing
	means meaning
	bags  bool // a count stands there: selfing, control
	nums  [2]int
	on    civil.Range // of going and away
}

// sayings reads a tidy line. No statements and no reason: the line names trees
// and says nothing of them, as a prefilled line does that was left as it was.
func (r *reader) sayings(line string) ([]trail.Report, Why) {
	list := r.withoutFillers(tokens(line))
	if len(list) > 1 && list[0].text == r.words.correction {
		list = list[1:]
		if list[0].is(":,") {
			list = list[1:]
		}
		if len(list) == 0 {
			return nil, ""
		}
	} else if len(list) == 1 && list[0].text == r.words.correction {
		return nil, ""
	}
	if len(list) == 0 {
		return nil, NotUnderstood
	}
	var all []trail.Report
	for first := true; len(list) > 0; first = false {
		c, n, why := r.clause(list)
		if why != "" {
			return nil, why
		}
		if !c.bags && c.means.kind == "" {
			if first && n == len(list) {
				return nil, "" // names alone
			}
			return nil, NotUnderstood
		}
		said, why := r.said(c)
		if why != "" {
			return nil, why
		}
		if all = append(all, said...); len(all) > mostReports {
			return nil, NotUnderstood
		}
		list = list[n:]
		if len(list) > 0 {
			if list = r.separator(list); len(list) == 0 {
				return nil, NotUnderstood
			}
		}
	}
	return all, ""
}

// withoutFillers leaves out the words that say nothing.
func (r *reader) withoutFillers(list []token) []token {
	kept := list[:0]
	for n, t := range list {
		if slices.Contains(r.words.fillers, t.text) && !t.glued && (n+1 == len(list) || !list[n+1].glued) {
			continue
		}
		kept = append(kept, t)
	}
	return kept
}

// separator takes what may stand between two clauses: , ; . and "and".
func (r *reader) separator(list []token) []token {
	n := 0
	for n < len(list) && (list[n].is(",;.") || slices.Contains(r.words.joins, list[n].text)) {
		n++
	}
	if n == 0 {
		return nil
	}
	return list[n:]
}

// clause reads the clause at the start of list and how many tokens it has.
func (r *reader) clause(list []token) (c clause, n int, why Why) {
	past := calendar{words: r.words, written: r.written, back: true}
	dayBefore := civil.Date(0)
	if _, took, _ := r.scope.tree(list, -1); took == 0 {
		if dayBefore, n, why = past.day(list); why != "" {
			return c, n, why
		}
		if n > 0 && n < len(list) && list[n].is(":,") {
			n++
		}
	}
	c.day = dayBefore
	c.site = -1
	if _, took, _ := r.scope.tree(list[n:], -1); took == 0 {
		var took int
		if c.site, took = r.scope.site(list[n:]); took > 0 {
			n += took
			if n < len(list) && list[n].is(":") {
				n++
			}
		}
	}
	took, why := r.trees(&c, list[n:])
	if why != "" {
		return c, n, why
	}
	n += took
	if took > 0 {
		n += gap(list[n:])
	}
	took, why = r.value(&c, list[n:])
	if why != "" || took == 0 {
		return c, n, why
	}
	n += took
	if len(c.trees) == 0 && c.means.about != siteOnly { // "no catkins T3"
		if took, why = r.trees(&c, list[n:]); why != "" {
			return c, n, why
		}
		n += took
	}
	if c.means.kind.Answer() { // its days, if any, are read; "can't sat" says more than "can't"
		if dayBefore != 0 {
			return c, n, UnclearDay
		}
		return c, n, ""
	}
	if day, took, why := past.day(list[n:]); took > 0 {
		if why != "" || dayBefore != 0 {
			return c, n, orElse(why, UnclearDay)
		}
		c.day = day
		n += took
	}
	return c, n, ""
}

// gap takes the mark between trees and what is said of them: "T3: 2+1",
// "T3 - off", "T3. 2+1". A dash glued to what follows is no such mark: it
// could be a minus.
func gap(list []token) int {
	if len(list) > 1 && (list[0].is(":.,=") || list[0].is("-") && !list[0].glued && !list[1].glued) {
		return 1
	}
	return 0
}

// trees reads "T1", "T1-T4", "T1, T2 and T4" into the clause.
func (r *reader) trees(c *clause, list []token) (int, Why) {
	n := 0
	for n < len(list) {
		at := n
		if len(c.trees) > 0 {
			for at < len(list) && (list[at].is(",&") || slices.Contains(r.words.joins, list[at].text)) {
				at++
			}
		}
		ref, took, why := r.scope.tree(list[at:], c.site)
		if took == 0 {
			if why != "" && (at > n || len(c.trees) == 0) {
				return 0, why
			}
			return n, ""
		}
		refs, more, whyRange := r.through(ref, list[at+took:], c.site)
		if whyRange != "" {
			return 0, whyRange
		}
		if more == 0 && why != "" {
			return 0, why
		}
		if c.trees = append(c.trees, refs...); len(c.trees) > mostReports {
			return 0, NotUnderstood
		}
		n = at + took + more
	}
	return n, ""
}

// through reads the rest of a run of trees, "-T4" behind T1.
func (r *reader) through(from treeRef, list []token, site int) ([]treeRef, int, Why) {
	if len(list) < 2 || !list[0].is("-") {
		return []treeRef{from}, 0, ""
	}
	to, took, _ := r.scope.tree(list[1:], site)
	if took == 0 && list[1].number() && (len(list) == 2 || !list[2].is("+.")) { // T1-4
		letters, _ := split(from.tree.Short)
		ref, found, _ := r.scope.named(letters+list[1].text, site)
		if !found {
			return nil, 0, UnknownTree
		}
		to, took = ref, 1
	}
	if took == 0 {
		if list[1].word() && hasDigit(list[1].text) && !list[1].number() {
			return nil, 0, UnknownTree
		}
		return []treeRef{from}, 0, ""
	}
	refs, why := r.scope.between(from, to)
	return refs, took + 1, why
}

// value reads what is said: a count, or a phrase with its days.
func (r *reader) value(c *clause, list []token) (int, Why) {
	if n, why := count(list, &c.nums); n > 0 {
		c.bags = true
		return n, why
	}
	for n := min(longestPhrase, len(list)); n > 0; n-- {
		m, ok := r.words.phrases[join(list[:n])]
		if !ok {
			continue
		}
		c.means = m
		took, why := r.days(c, list[n:])
		return n + took, why
	}
	return 0, ""
}

// days reads the days that a phrase takes.
func (r *reader) days(c *clause, list []token) (n int, why Why) {
	ahead := calendar{words: r.words, written: r.written}
	switch c.means.takes {
	case aDay:
		c.on.First, n, why = ahead.day(list)
	case aSpan:
		c.on, n, why = ahead.span(list)
	default:
		return 0, ""
	}
	last := max(c.on.First, c.on.Last)
	switch {
	case why != "":
		return n, why
	case n == 0:
		return 0, NoDay
	case last < r.written:
		return n, PastDay
	}
	return n, ""
}

// count reads 2+1.
func count(list []token, nums *[2]int) (int, Why) {
	if len(list) < 3 || !list[0].number() || !list[1].is("+") || !list[2].number() {
		return 0, ""
	}
	if len(list) > 3 && (list[3].is("+") || list[3].glued && !list[3].is(",;.")) ||
		len(list) > 4 && list[3].is(".,") && list[3].glued && list[4].glued && list[4].number() {
		return 3, BadCount
	}
	for n, t := range []token{list[0], list[2]} {
		if nums[n] = small(t); nums[n] < 0 || nums[n] > trail.MostBags || strings.HasPrefix(t.text, "00") {
			return 3, BadCount
		}
	}
	return 3, ""
}
