package config

import (
	"bytes"
	"path"
	"slices"
	"sort"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"
)

// Setting gives a path without the group that all thresholds stand in: what is
// left is what people know it by.
func Setting(path string) string { return strings.TrimPrefix(path, "calls.") }

// SiteFile gives the name of the file in which a site is described.
func SiteFile(files Files, code string) (file string, ok bool) {
	var names []string
	for name := range files {
		if path.Dir(name) == sitesDir && path.Ext(name) == ".yml" && !hidden(name) {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	if code == "" {
		return "", false
	}
	for _, name := range names {
		if text, _ := scalarOf(sectionOf(name, files[name]).get("code").node); text == code && code != "" {
			return name, true
		}
	}
	return "", false
}

// sectionOf gives the settings of a file; none where it is no YAML.
func sectionOf(file string, content []byte) *section {
	var quiet findings
	return document(&quiet, file, content).section()
}

// lineChange is a line of a site's file in two versions of it.
type lineChange struct {
	key      string
	calls    bool // it stands under calls:
	old, now entry
}

func (d lineChange) path() string {
	if d.calls {
		return joined("calls", d.key)
	}
	return d.key
}

// differingLines lists the settings in which two versions of a site's file
// differ, in the order of the newer one, then of the older. How a value is
// written, and remarks, make no difference.
func differingLines(old, now *section) (out []lineChange) {
	for _, key := range keysOf(now, old) {
		if key == "calls" {
			continue
		}
		if a, b := old.get(key), now.get(key); !sameValue(a.node, b.node) {
			out = append(out, lineChange{key: key, old: a, now: b})
		}
	}
	a, b := old.get("calls").section(), now.get("calls").section()
	for _, key := range keysOf(b, a) {
		if x, y := a.get(key), b.get(key); !sameValue(x.node, y.node) {
			out = append(out, lineChange{key: key, calls: true, old: x, now: y})
		}
	}
	return out
}

func keysOf(first, second *section) []string {
	keys := slices.Clone(first.order)
	for _, key := range second.order {
		if !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	return keys
}

// sameValue tells whether two values are the same, however they are written.
func sameValue(a, b *yaml.Node) bool {
	if a == nil || b == nil {
		return a == b
	}
	a, b = target(a), target(b)
	if a.Kind != b.Kind || len(a.Content) != len(b.Content) || a.Kind == yaml.ScalarNode && strings.TrimSpace(a.Value) != strings.TrimSpace(b.Value) {
		return false
	}
	for i := range a.Content {
		if !sameValue(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// written gives a value on one line, shortened.
func written(n *yaml.Node) string {
	if n == nil {
		return ""
	}
	if text, one := scalarOf(target(n)); one {
		return clip(text)
	}
	short := *target(n)
	plainStyle(&short)
	short.Style = yaml.FlowStyle
	text, err := yaml.Marshal(&short)
	if err != nil {
		return "…"
	}
	line := []rune(string(bytes.Join(bytes.Fields(text), []byte(" "))))
	if len(line) > 160 {
		line = append(line[:160], '…')
	}
	return string(line)
}

// plainStyle takes remarks out of a value, in place of a copy of it.
func plainStyle(n *yaml.Node) {
	n.HeadComment, n.LineComment, n.FootComment = "", "", ""
	children := make([]*yaml.Node, len(n.Content))
	for i, c := range n.Content {
		copied := *c
		plainStyle(&copied)
		children[i] = &copied
	}
	n.Content = children
}

func hours(field any) float64 {
	if d, ok := field.(*time.Duration); ok {
		return d.Hours()
	}
	return 0
}

func monthOf(v float64) time.Month { return time.Month(int(v) / 100) }
