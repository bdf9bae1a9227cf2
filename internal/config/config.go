// Package config is the programme as its people write it down: the files of a
// folder, turned into checked values or into every problem they have.
package config

import (
	"fmt"
	"path"
	"sort"
	"strings"
	"time"

	"budcall/internal/stage"
)

// Files is the content of a config folder by path relative to it, with slashes
// on every system.
type Files map[string][]byte

// Zones gives a time zone by its IANA name, or an error where there is none.
type Zones func(name string) (*time.Location, error)

// The files that a folder has.
const (
	programmeFile = "programme.yml"
	peopleFile    = "people.yml"
	stationsFile  = "stations.yml"
	profilesDir   = "profiles"
	sitesDir      = "sites"
)

// reading is one reading of a folder: what was found, and what there is to
// refer to so far.
type reading struct {
	findings
	files     Files
	zones     Zones
	programme *Programme

	people    *codes
	stations  *codes
	forecasts *codes
	profiles  *codes
	sites     *codes
	trees     *codes
	places    map[string]Station // by code, those whose position is known
}

// Parse reads a folder. It gives the programme or, sorted by file and line,
// everything that is wrong; one of the two is nil. What is only unusual is in
// the programme's Warnings.
func Parse(files Files, zones Zones) (*Programme, []Problem) {
	r := &reading{
		files: files, zones: zones,
		programme: &Programme{Profiles: map[string]stage.Profile{}},
		people:    newCodes("person", peopleFile),
		stations:  newCodes("station", stationsFile),
		forecasts: newCodes("forecast", stationsFile),
		profiles:  newCodes("profile", profilesDir+"/"),
		sites:     newCodes("site", sitesDir+"/"),
		trees:     newCodes("tree", sitesDir+"/"),
		places:    map[string]Station{},
	}
	top := r.open(programmeFile).section()
	r.readZone(top)
	r.readPeople()
	r.readStations()
	r.readProfiles()
	r.readProgramme(top)
	r.readSites()
	r.strayFiles()
	if len(r.problems) > 0 {
		return nil, inOrder(r.problems)
	}
	r.programme.Warnings = inOrder(r.warnings)
	return r.programme, nil
}

// open reads a file that must be there.
func (r *reading) open(file string) entry {
	content, ok := r.files[file]
	if !ok {
		e := entry{found: &r.findings, file: file}
		e.problem("the file is missing", "the example folder shows what belongs in it")
		return e
	}
	return document(&r.findings, file, content)
}

// in gives the names of a folder's YAML files, sorted.
func (r *reading) in(dir string) []string {
	var names []string
	for name := range r.files {
		if path.Dir(name) == dir && path.Ext(name) == ".yml" && !hidden(name) {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names
}

// strayFiles reports files that somebody may believe to be read.
func (r *reading) strayFiles() {
	for name := range r.files {
		e := entry{found: &r.findings, file: name}
		dir, ext := path.Dir(name), path.Ext(name)
		switch {
		case hidden(name):
		case ext == ".yaml":
			e.problem("is not read because of its name", "call it "+strings.TrimSuffix(path.Base(name), ext)+".yml")
		case ext != ".yml", dir == sitesDir, dir == profilesDir, name == programmeFile, name == peopleFile, name == stationsFile:
		default:
			e.warn("is not read", fmt.Sprintf("files are %s, %s, %s, %s/*.yml and %s/*.yml", programmeFile, peopleFile, stationsFile, sitesDir, profilesDir))
		}
	}
}

// hidden reports whether a file is an editor's and not meant to be read.
func hidden(name string) bool { return strings.HasPrefix(path.Base(name), ".") }

// readZone comes before everything that takes its zone from the programme.
func (r *reading) readZone(top *section) {
	r.programme.Zone = r.zone(top.need("zone", "an IANA zone, such as Europe/Helsinki"))
}

// zone gives a time zone; nil where it isn't set or isn't known.
func (r *reading) zone(e entry) *time.Location {
	name := e.text()
	if name == "" {
		return nil
	}
	loc, err := r.zones(name)
	if err != nil || name == "Local" {
		e.problem(fmt.Sprintf("%q is no time zone", clip(name)), "an IANA zone, such as Europe/Helsinki")
		return nil
	}
	return loc
}

// zoneOr gives a time zone, or the programme's where it isn't set.
func (r *reading) zoneOr(e entry) *time.Location {
	if !e.set() {
		return r.programme.Zone
	}
	return r.zone(e)
}
