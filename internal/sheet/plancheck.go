package sheet

import (
	"fmt"
	"slices"
	"strings"

	"budcall/internal/trail"
)

// checkKnown finds bags or lots that aren't known: they follow from reports, so
// a table can't add any, and a code with a slip in it isn't another's.
func (p *Plan) checkKnown(now Table) {
	var codes []string
	for _, k := range now.Rows {
		codes = append(codes, k.Text("code"))
	}
	one := strings.TrimSuffix(string(p.Kind), "s")
	for _, r := range p.Adds {
		code := r.Text("code")
		what, cure := "no "+one+" known here has the code "+code, "compare with the label; a "+one+" that is missing follows from reports"
		if _, checked, err := trail.ParseCode(code); err != nil || !checked {
			what, cure = code+" isn't the code of a "+one+": its check character doesn't fit, so something in it is miswritten", "compare with the label and write it as it stands there"
		}
		if near := trail.Suggest(code, codes); len(near) > 0 {
			cure = fmt.Sprintf("near is %s (%s): compare with the label and write the right one", near[0].Code, near[0].Slip)
		}
		p.conflict(r, "code", Unknown, cure, "%s", what)
	}
	p.Adds = nil
}

// checkTrees finds trees that can't be where or called what the table says.
func (p *Plan) checkTrees(now Table) {
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool {
		for _, cell := range c.Cells {
			if cell.Column == "site" {
				p.conflict(c.Row, "site", Elsewhere, "correct the site, or take the tree out of its site's file first", "%s is known at %s: trees don't walk", c.Key, cell.Old)
				return true
			}
		}
		return false
	})
	near := map[string]string{}
	for _, k := range now.Rows {
		near[withoutZeros(trail.Base(k.Text("code")))] = k.Text("code")
	}
	p.Adds = slices.DeleteFunc(p.Adds, func(r Row) bool {
		known, ok := near[withoutZeros(trail.Base(r.Text("code")))]
		if ok {
			p.conflict(r, "code", Near, "write "+known+", or give the tree another code", "%s differs from %s, which is known, in zeros, hyphens or the check character alone: a spreadsheet may have lost them", r.Text("code"), known)
		}
		return ok
	})
	p.checkShorts(now)
}

// withoutZeros gives a code without hyphens and without zeros before digits.
func withoutZeros(code string) string {
	var b strings.Builder
	digits := false // some of this number is written
	for i, r := range code {
		isDigit := r >= '0' && r <= '9'
		more := i+1 < len(code) && code[i+1] >= '0' && code[i+1] <= '9'
		if r != '-' && !(r == '0' && !digits && more) {
			b.WriteRune(r)
		}
		digits = isDigit && (digits || r != '0')
	}
	return b.String()
}

// checkShorts finds short names that two trees of a site would have: whoever
// keeps one goes before whoever takes it, and the earlier row before the later.
func (p *Plan) checkShorts(now Table) {
	changed := map[string]bool{}
	for _, c := range p.Changes {
		changed[c.Key] = true
	}
	owner := map[[2]string]string{}
	for _, r := range now.Rows {
		if !changed[r.Text("code")] {
			owner[[2]string{r.Text("site"), r.Text("short")}] = r.Text("code")
		}
	}
	take := func(r Row) (clash bool) {
		at := [2]string{r.Text("site"), r.Text("short")}
		if other, taken := owner[at]; taken && other != r.Text("code") {
			p.conflict(r, "short", Taken, "give each tree of a site a short name of its own", "%s is the short name of %s at %s", r.Text("short"), other, r.Text("site"))
			return true
		}
		owner[at] = r.Text("code")
		return false
	}
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool { return take(c.Row) })
	p.Adds = slices.DeleteFunc(p.Adds, take)
}

// checkReports finds reports that contradict what somebody else reported of
// the same thing and day.
func (p *Plan) checkReports(now Table) {
	type thing [6]string
	of := func(r Row) (t thing) {
		for i, c := range []string{"site", "tree", "day", "kind", "bbch", "on"} {
			t[i] = r.Text(c)
		}
		return t
	}
	said := map[thing][]Row{}
	for _, r := range now.Rows {
		said[of(r)] = append(said[of(r)], r)
	}
	contradicts := func(r Row) bool {
		for _, other := range said[of(r)] {
			if other.Text("person") == r.Text("person") {
				continue
			}
			for _, c := range []string{"selfing", "control", "count", "until"} {
				if a, b := other.Text(c), r.Text(c); p.table.has(c) && a != b {
					p.conflict(r, c, Contradicts, "ask both; then correct the row, or report it by the command line", "%s reported %q of the same thing and day, not %q", other.Text("person"), a, b)
					return true
				}
			}
		}
		said[of(r)] = append(said[of(r)], r)
		return false
	}
	p.Changes = slices.DeleteFunc(p.Changes, func(c Change) bool { return contradicts(c.Row) })
	p.Adds = slices.DeleteFunc(p.Adds, contradicts)
}
