package config

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v3"
)

// section is a group of settings. Its keys are asked for one by one; what
// nobody asked for by done is unknown.
type section struct {
	entry
	values map[string]entry
	order  []string // keys as they stand in the file
	asked  []string // keys that were asked for: those that are known
}

// section reads a group of settings; one that isn't set has no keys.
func (e entry) section() *section {
	s := &section{entry: e, values: map[string]entry{}}
	if !e.set() {
		return s
	}
	if e.node.Kind != yaml.MappingNode {
		e.problem("is "+kindOf(e.node)+", but settings belong here", "write \"name: value\" lines, indented alike")
		s.node = nil // so that nothing in it is called missing
		return s
	}
	for i := 0; i+1 < len(e.node.Content); i += 2 {
		s.add(e.node.Content[i], e.node.Content[i+1])
	}
	return s
}

func (s *section) add(key, value *yaml.Node) {
	e := entry{found: s.found, file: s.file, line: key.Line, path: joined(s.path, key.Value), node: target(value)}
	first, twice := s.values[key.Value]
	switch {
	case key.Kind != yaml.ScalarNode || key.Value == "":
		e.path = s.path
		e.problem("a setting without a name", "write \"name: value\"")
	case key.Tag == "!!merge":
		e.problem("settings can't be merged in here", "write them out")
	case twice:
		e.problem(fmt.Sprintf("is set twice, first on line %d", first.line), "keep one of them")
	default:
		s.values[key.Value] = e
		s.order = append(s.order, key.Value)
	}
}

func joined(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// get gives a setting that may be left out. One without a value counts as
// left out.
func (s *section) get(key string) entry {
	if !contains(s.asked, key) {
		s.asked = append(s.asked, key)
	}
	e, ok := s.values[key]
	if !ok || isNull(e.node) {
		return entry{found: s.found, file: s.file, line: max(s.line, 1), path: joined(s.path, key)}
	}
	return e
}

// need gives a setting that must be there. In a section that is itself missing
// nothing more is reported.
func (s *section) need(key, cure string) entry {
	e := s.get(key)
	if !e.set() && s.set() {
		if there, ok := s.values[key]; ok {
			e.line = there.line
		}
		e.problem("is missing", cure)
	}
	return e
}

// secret refuses secrets that are written into the file, under any of the keys
// that people would try, and gives the one that names a file.
func (s *section) secret(key string, inline ...string) entry {
	for _, k := range inline {
		if e, ok := s.values[k]; ok {
			delete(s.values, k) // reported: neither known nor unknown
			e.problem("a secret doesn't belong in this file", "put it alone into a file that only the program can read, and name that file as "+key)
		}
	}
	return s.get(key)
}

// done reports the keys that nobody asked for.
func (s *section) done() {
	if !s.set() {
		return
	}
	for _, key := range s.order {
		if e, ok := s.values[key]; ok && !contains(s.asked, key) {
			e.problem("unknown setting", s.suggestion(key))
		}
	}
}

// suggestion is what may have been meant by an unknown key.
func (s *section) suggestion(key string) string {
	if near := nearest(key, s.asked); near != "" {
		return "did you mean " + near + "?"
	}
	if isCallSetting(key) {
		return "it belongs under calls:"
	}
	return "known here: " + strings.Join(s.asked, ", ")
}

func contains(words []string, word string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}
