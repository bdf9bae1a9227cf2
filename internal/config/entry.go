package config

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// entry is a value in a file, and where it stands. A value that isn't set has
// no node; reading it gives the zero value and says nothing.
type entry struct {
	found *findings
	file  string
	line  int
	path  string
	node  *yaml.Node
}

func (e entry) problem(what, cure string) {
	e.found.problems = append(e.found.problems, Problem{File: e.file, Line: e.line, Path: e.path, What: what, Cure: cure})
}

func (e entry) warn(what, cure string) {
	e.found.warnings = append(e.found.warnings, Problem{File: e.file, Line: e.line, Path: e.path, What: what, Cure: cure})
}

// set reports whether the value is there.
func (e entry) set() bool { return e.node != nil }

// scalar gives a value as it is written, and false where it isn't set or is
// something else than one value; the latter is reported.
func (e entry) scalar() (string, bool) {
	if !e.set() {
		return "", false
	}
	if e.node.Kind == yaml.ScalarNode {
		return e.node.Value, true
	}
	e.problem("is "+kindOf(e.node)+", but one value belongs here", "write it behind the colon, on the same line")
	return "", false
}

// text gives a value of one line, for names and the like.
func (e entry) text() string {
	value, ok := e.scalar()
	if !ok {
		return ""
	}
	value = strings.TrimSpace(value)
	switch {
	case value == "":
		e.problem("is empty", "write a value, or remove the line")
	case strings.ContainsFunc(value, unicode.IsControl):
		e.problem("holds a line break or a control character", "write it on one line")
	case utf8.RuneCountInString(value) > 200:
		e.problem(fmt.Sprintf("has %d characters", utf8.RuneCountInString(value)), "at most 200")
	default:
		return value
	}
	return ""
}

// prose gives a value that may run over several lines, its white space made
// single blanks.
func (e entry) prose() string {
	value, ok := e.scalar()
	if !ok {
		return ""
	}
	value = strings.Join(strings.Fields(value), " ")
	switch {
	case value == "":
		e.problem("is empty", "write a sentence, or remove the line")
	case strings.ContainsFunc(value, unicode.IsControl):
		e.problem("holds a control character", "write it as plain text")
	case utf8.RuneCountInString(value) > 1000:
		e.problem(fmt.Sprintf("has %d characters", utf8.RuneCountInString(value)), "at most 1000")
	default:
		return value
	}
	return ""
}

// list gives the items of a list.
func (e entry) list() []entry {
	if !e.set() {
		return nil
	}
	if e.node.Kind != yaml.SequenceNode {
		e.problem("is "+kindOf(e.node)+", but a list belongs here", "write [a, b], or a line with \"- \" for each")
		return nil
	}
	var items []entry
	for i, n := range e.node.Content {
		item := entry{found: e.found, file: e.file, line: n.Line, path: fmt.Sprintf("%s[%d]", e.path, i), node: target(n)}
		if isNull(item.node) {
			item.problem("is empty", "write a value, or remove the line")
			continue
		}
		items = append(items, item)
	}
	return items
}

// choice gives a value that is one of a few words.
func (e entry) choice(options ...string) string {
	value := e.text()
	if value == "" {
		return ""
	}
	for _, o := range options {
		if value == o {
			return value
		}
	}
	cure := "one of " + strings.Join(options, ", ")
	if len(options) == 1 {
		cure = "write " + options[0]
	}
	e.problem(fmt.Sprintf("%q is not known here", value), cure)
	return ""
}

// flag gives true or false.
func (e entry) flag() bool { return e.choice("true", "false") == "true" }

// orElse gives a value, or another one where it isn't set.
func orElse(value, other string) string {
	if value == "" {
		return other
	}
	return value
}

func kindOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a group of settings"
	case yaml.SequenceNode:
		return "a list"
	}
	return "one value"
}

// target follows a reference to the value it stands for.
func target(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode && n.Alias != nil {
		return n.Alias
	}
	return n
}

// scalarOf gives the text of a value that is one, without a word otherwise.
func scalarOf(n *yaml.Node) (string, bool) {
	if n == nil || n.Kind != yaml.ScalarNode {
		return "", false
	}
	return strings.TrimSpace(n.Value), true
}
