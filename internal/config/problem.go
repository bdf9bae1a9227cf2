package config

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Problem is one thing that is wrong in the files, where it stands, and what
// to do about it.
type Problem struct {
	File string // as in Files
	Line int    // from 1; 0 where the whole file is meant
	Path string // of the setting, such as stages[2].base_c; empty where the file itself is meant
	What string
	Cure string
}

// String gives "file:line: path: what (cure)", without the parts that are empty.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
	}
	b.WriteString(": ")
	if p.Path != "" {
		b.WriteString(p.Path + ": ")
	}
	b.WriteString(p.What)
	if p.Cure != "" {
		b.WriteString(" (" + p.Cure + ")")
	}
	return b.String()
}

// findings collects what was found while reading, so that everything is
// reported at once.
type findings struct {
	problems []Problem
	warnings []Problem
}

// inOrder sorts by file and line, each problem once; of one line what was
// found first stays first.
func inOrder(found []Problem) []Problem {
	seen := map[Problem]bool{}
	found = slices.DeleteFunc(found, func(p Problem) bool {
		again := seen[p]
		seen[p] = true
		return again
	})
	sort.SliceStable(found, func(i, j int) bool {
		a, b := found[i], found[j]
		if a.File != b.File {
			return a.File < b.File
		}
		return a.Line < b.Line
	})
	return found
}
