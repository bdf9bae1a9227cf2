package config

import (
	"path"
	"strings"

	"budcall/internal/season"
	"budcall/internal/stage"
)

// ParseProfile reads one file of profiles/ by itself. file is its name, for
// problems. It gives the profile or, sorted by line, everything that is wrong.
func ParseProfile(file string, content []byte) (stage.Profile, []Problem) {
	var found findings
	var p stage.Profile
	if top := document(&found, file, content).section(); top.set() {
		p = readProfile(strings.TrimSuffix(path.Base(file), path.Ext(file)), top)
	}
	if len(found.problems) > 0 {
		return stage.Profile{}, inOrder(found.problems)
	}
	return p, nil
}

// ParseCalls reads a file that has calls: as a site or the programme has it, and
// nothing else, and gives base with what it says instead, or everything that is
// wrong.
func ParseCalls(file string, content []byte, base season.Settings) (season.Settings, []Problem) {
	var found findings
	if top := document(&found, file, content).section(); top.set() {
		calls := top.need("calls", "write calls: and below it, indented, such as max_lead_days: 21").section()
		base = readSettings(calls, base)
		calls.done()
		top.done()
	}
	if len(found.problems) > 0 {
		return season.Settings{}, inOrder(found.problems)
	}
	return base, nil
}
