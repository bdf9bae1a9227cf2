package report

import (
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"budcall/internal/call"
	"budcall/internal/trail"
)

// treeRef is a tree of a site.
type treeRef struct {
	site string
	tree trail.Tree
}

// scope is what the lines of a mail may speak of.
type scope struct {
	sites    []Site // all that may be named
	own      int    // of them the first so many may be left unnamed
	asked    map[string][]call.Task
	byName   []map[string]trail.Tree // per site: short name in lower case
	byCode   map[string]treeRef
	siteCode map[string]int
}

// newScope gathers the sites: those of the mail answered (or of the person,
// where no mail is named) may be left out of a line, others of the person
// must be named.
func newScope(k Known, mail *Mail, person Person) *scope {
	s := &scope{asked: map[string][]call.Task{}, byCode: map[string]treeRef{}, siteCode: map[string]int{}}
	if mail == nil {
		for _, code := range person.Sites {
			s.add(k, code)
		}
		s.own = len(s.sites)
		return s
	}
	for _, c := range mail.Calls {
		s.add(k, c.Site)
		s.asked[c.Site] = append(s.asked[c.Site], c.Task)
	}
	s.own = len(s.sites)
	for _, code := range mail.To.Sites {
		s.add(k, code)
	}
	return s
}

func (s *scope) add(k Known, code string) {
	key := fold(code)
	if _, ok := s.siteCode[key]; ok || code == "" {
		return
	}
	site, ok := k.Site(code)
	if !ok {
		return
	}
	names := map[string]trail.Tree{}
	for _, t := range site.Trees {
		names[fold(t.Short)] = t
		if t.Code != "" {
			s.byCode[fold(t.Code)] = treeRef{site.Code, t}
		}
	}
	s.siteCode[key] = len(s.sites)
	s.sites = append(s.sites, site)
	s.byName = append(s.byName, names)
}

// fold makes names comparable: composed, lower case, no blanks.
func fold(name string) string {
	return strings.ToLower(norm.NFC.String(strings.ReplaceAll(name, " ", "")))
}

// longestName is how many tokens a tree's name or a site's code may have:
// KOL-107-X has five.
const longestName = 9

// site reads the code of a site at the start of list; 0: none stands there.
func (s *scope) site(list []token) (int, int) {
	for n := runLength(list, longestName); n > 0; n-- {
		if at, ok := s.siteCode[glue(list[:n])]; ok {
			return at, n
		}
	}
	return -1, 0
}

// tree reads one tree's name at the start of list, of the site named before
// it or, with site -1, of those that may be left out. It gives how many tokens
// it took; 0 with a reason: something like a tree's name that is none.
func (s *scope) tree(list []token, site int) (treeRef, int, Why) {
	for n := runLength(list, longestName); n > 0; n-- {
		name := glue(list[:n])
		if t, found, why := s.named(name, site); found {
			return t, n, why
		}
	}
	if len(list) > 1 && list[0].word() && !hasDigit(list[0].text) && len([]rune(list[0].text)) <= 2 && list[1].number() && !list[1].glued {
		if t, found, why := s.named(list[0].text+list[1].text, site); found { // "T 3"
			return t, 2, why
		}
	}
	if len(list) > 0 && list[0].word() && hasDigit(list[0].text) && !list[0].number() {
		return treeRef{}, 0, UnknownTree
	}
	return treeRef{}, 0, ""
}

func (s *scope) named(name string, site int) (ref treeRef, found bool, why Why) {
	if name == "" {
		return treeRef{}, false, ""
	}
	if ref, ok := s.byCode[name]; ok && (site < 0 || s.sites[site].Code == ref.site) {
		return ref, true, gone(ref.tree)
	}
	first, past := 0, s.own
	if site >= 0 {
		first, past = site, site+1
	}
	for n := first; n < past; n++ {
		t, ok := s.byName[n][name]
		switch {
		case ok && found:
			return ref, true, UnclearTree
		case ok:
			ref, found = treeRef{s.sites[n].Code, t}, true
		}
	}
	if !found {
		return treeRef{}, false, ""
	}
	return ref, true, gone(ref.tree)
}

func gone(t trail.Tree) Why {
	if t.Gone {
		return GoneTree
	}
	return ""
}

// between gives the living trees from a to b: same site, same letters, rising
// numbers.
func (s *scope) between(a, b treeRef) ([]treeRef, Why) {
	letters, from := split(a.tree.Short)
	other, to := split(b.tree.Short)
	if a.site != b.site || letters != other || from < 0 || to < from {
		return nil, UnclearTree
	}
	var list []treeRef
	for _, t := range s.sites[s.siteCode[fold(a.site)]].Trees {
		if l, n := split(t.Short); l == letters && n >= from && n <= to && !t.Gone {
			list = append(list, treeRef{a.site, t})
		}
	}
	return list, ""
}

// split parts a short name into what stands before its last figures, and
// their number; -1: it ends in no figure.
func split(short string) (string, int) {
	short = fold(short)
	at := len(short)
	for at > 0 && short[at-1] >= '0' && short[at-1] <= '9' {
		at--
	}
	n, err := strconv.Atoi(short[at:])
	if err != nil {
		return short, -1
	}
	return short[:at], n
}

// runLength counts the tokens at the start of list that stand without a blank
// between, up to limit.
func runLength(list []token, limit int) int {
	n := 0
	for n < len(list) && n < limit && (n == 0 || list[n].glued) {
		n++
	}
	return n
}

func glue(list []token) string {
	if len(list) == 1 {
		return list[0].text
	}
	var b strings.Builder
	for _, t := range list {
		b.WriteString(t.text)
	}
	return b.String()
}

func hasDigit(s string) bool { return strings.ContainsAny(s, "0123456789") }
