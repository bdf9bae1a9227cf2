package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// editor changes single settings in the text of a YAML file and leaves every
// other byte as it stands: comments, blank lines, order. What it can't change
// that way it refuses.
type editor struct {
	file   string
	text   string
	starts []int // of the lines, in bytes
	cuts   []cut
	gone   map[*yaml.Node]bool // names of settings that were taken away
	err    error               // the first refusal
}

// cut is a piece of text and what comes in its place.
type cut struct {
	from, to int
	text     string
}

func newEditor(file string, content []byte) *editor {
	e := &editor{file: file, text: string(content), starts: []int{0}, gone: map[*yaml.Node]bool{}}
	for i, c := range content {
		if c == '\n' {
			e.starts = append(e.starts, i+1)
		}
	}
	return e
}

// result gives the text with everything changed.
func (e *editor) result() ([]byte, error) {
	if e.err != nil {
		return nil, e.err
	}
	slices.SortStableFunc(e.cuts, func(a, b cut) int { return cmp.Or(a.from-b.from, a.to-b.to) })
	var b strings.Builder
	at := 0
	for _, c := range e.cuts {
		if c.from < at {
			return nil, fmt.Errorf("%s can't be changed safely: two changes meet on line %d; make them by hand", e.file, e.lineAt(c.from))
		}
		b.WriteString(e.text[at:c.from] + c.text)
		at = c.to
	}
	b.WriteString(e.text[at:])
	return []byte(b.String()), nil
}

func (e *editor) lineAt(at int) int {
	n, found := slices.BinarySearch(e.starts, at)
	if found {
		return n + 1
	}
	return n
}

func (e *editor) replace(from, to int, text string) { e.cuts = append(e.cuts, cut{from, to, text}) }

func (e *editor) refuse(n *yaml.Node, what string) {
	if e.err == nil {
		e.err = fmt.Errorf("%s:%d: %s, which can't be changed safely: change it by hand and import again", e.file, n.Line, what)
	}
}

// offset gives the byte at which a node begins; the parser counts columns in
// characters from 1.
func (e *editor) offset(n *yaml.Node) int {
	at := e.starts[min(max(n.Line, 1), len(e.starts))-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRuneInString(e.text[at:])
		at += size
	}
	return at
}

// extent gives the bytes of a value, false where they can't be told.
func (e *editor) extent(n *yaml.Node) (from, to int, ok bool) {
	if n.Kind == yaml.AliasNode || n.Anchor != "" || n.Style&yaml.TaggedStyle != 0 {
		return 0, 0, false
	}
	from = e.offset(n)
	switch {
	case n.Kind == yaml.ScalarNode && n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		to, ok = e.quoteEnd(from)
	case n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value != "" && strings.HasPrefix(e.text[from:], n.Value):
		to, ok = from+len(n.Value), true
	case n.Kind != yaml.ScalarNode && n.Style&yaml.FlowStyle != 0:
		to, ok = e.bracketEnd(from)
	case n.Kind != yaml.ScalarNode && len(n.Content) > 0:
		_, to, ok = e.extent(n.Content[len(n.Content)-1])
	}
	return from, to, ok
}

// quoteEnd gives the end of a quoted text.
func (e *editor) quoteEnd(from int) (int, bool) {
	if from >= len(e.text) {
		return 0, false
	}
	mark := e.text[from]
	for i := from + 1; i < len(e.text); i++ {
		switch {
		case e.text[i] == '\\' && mark == '"':
			i++
		case e.text[i] == mark && mark == '\'' && strings.HasPrefix(e.text[i+1:], "'"):
			i++
		case e.text[i] == mark:
			return i + 1, mark == '"' || mark == '\''
		}
	}
	return 0, false
}

// bracketEnd gives the end of [...] or {...}.
func (e *editor) bracketEnd(from int) (int, bool) {
	depth := 0
	for i := from; i < len(e.text); i++ {
		switch c := e.text[i]; {
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
			if depth == 0 {
				return i + 1, true
			}
		case (c == '"' || c == '\'') && strings.ContainsRune(" ,[{:\n", rune(e.text[i-1])):
			end, ok := e.quoteEnd(i)
			if !ok {
				return 0, false
			}
			i = end - 1
		case c == '#' && strings.ContainsRune(" \t\n", rune(e.text[i-1])):
			i += len(e.text[i:]) - len(strings.TrimLeft(e.text[i:], "#"))
			for i < len(e.text) && e.text[i] != '\n' {
				i++
			}
		}
	}
	return 0, false
}

// lineEnd gives the end of the line on which a byte stands, without its break.
func (e *editor) lineEnd(at int) int {
	if i := strings.IndexByte(e.text[at:], '\n'); i >= 0 {
		return at + i
	}
	return len(e.text)
}

// lineStart gives the start of the line on which a byte stands.
func (e *editor) lineStart(at int) int { return strings.LastIndexByte(e.text[:at], '\n') + 1 }
