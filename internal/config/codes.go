package config

import (
	"fmt"
	"regexp"
	"sort"
	"strings"
)

// form is how a code is written, and how a message says so.
type form struct {
	pattern *regexp.Regexp
	cure    string
}

var (
	placeForm  = form{regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,15}$`), "2 to 16 capital letters A-Z, digits and hyphens, a letter first: KOLMI"}
	treeForm   = form{regexp.MustCompile(`^[A-Z][A-Z0-9]{0,11}-[0-9]{1,5}(-[0-9A-Z*])?$`), "capital letters, a hyphen, digits: K-001"}
	shortForm  = form{regexp.MustCompile(`^\p{Lu}[0-9]{1,3}$`), "T and a number, as people write it in a reply: T3"}
	personForm = form{regexp.MustCompile(`^[a-z][a-z0-9-]{1,23}$`), "2 to 24 small letters a-z, digits and hyphens, a letter first: maia"}
)

// code gives a code that is written as it should be.
func (e entry) code(f form) string {
	value := e.text()
	if value != "" && !f.pattern.MatchString(value) {
		e.problem(fmt.Sprintf("%q can't be a code here", clip(value)), f.cure)
		return ""
	}
	return value
}

// codes is everything of one kind that can be referred to by code.
type codes struct {
	kind    string // as a message names it: person
	called  string // what tells them apart: code
	file    string // where it is defined
	defined map[string]entry
	partial bool // some couldn't be read, so that an unknown one may be meant
}

func newCodes(kind, file string) *codes {
	return &codes{kind: kind, called: "code", file: file, defined: map[string]entry{}}
}

// define takes the code that e holds; a second one is reported.
func (c *codes) define(e entry, code string) { c.defineAs(e, code, code) }

// defineAs takes the code that e holds, and reports a second one that would be
// taken for it, having the same key.
func (c *codes) defineAs(e entry, code, key string) {
	if code == "" {
		c.partial = true
		return
	}
	if first, twice := c.defined[key]; twice && key != code && first.text() != code {
		e.problem(fmt.Sprintf("%s would be taken for the %s of the %s %s in %s:%d", code, c.called, c.kind, first.text(), first.file, first.line), "give each its own")
		return
	} else if twice {
		e.problem(fmt.Sprintf("%s is already the %s of the %s in %s:%d", code, c.called, c.kind, first.file, first.line), "give each its own")
		return
	}
	c.defined[key] = e
}

// refer gives the code that e refers to; one that nobody has is reported.
func (c *codes) refer(e entry) string {
	code := e.text()
	if code == "" {
		return ""
	}
	if _, ok := c.defined[code]; ok {
		return code
	}
	if c.partial {
		return "" // its own problem is reported where it is defined
	}
	e.problem(fmt.Sprintf("no %s has the code %q", c.kind, clip(code)), c.cure(code))
	return ""
}

func (c *codes) cure(code string) string {
	var known []string
	for k := range c.defined {
		known = append(known, k)
	}
	sort.Strings(known)
	if near := nearest(code, known); near != "" {
		return "did you mean " + near + "?"
	}
	if len(known) > 0 && len(known) <= 8 {
		return "known in " + c.file + ": " + strings.Join(known, ", ")
	}
	return "define it in " + c.file
}
