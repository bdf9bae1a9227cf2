package config

import (
	"bytes"
	"maps"
	"path"
	"slices"
)

// Kept is a folder of which the good files count: a site's file that is bad has
// the one accepted before in its place, or is left out where there was none.
type Kept struct {
	Programme *Programme
	Files     Files // of which Programme was read
	Out       []Out // files of sites that don't count as they stand, by name
}

// Out is a site's file that doesn't count as it stands.
type Out struct {
	File     string
	Before   bool      // the one accepted before counts in its place; else there is none and the site is left out
	Problems []Problem // in the file as it stands
}

// ParseKeeping reads a folder as Parse does, but a bad file of a site holds back
// no other site. before is the files that were accepted last. It gives the
// problems where keeping files of sites back doesn't help: they are in a file
// that concerns everybody, or come from one.
func ParseKeeping(files, before Files, zones Zones) (Kept, []Problem) {
	k := keeping{before: before, zones: zones, files: maps.Clone(files), out: map[string][]Problem{}}
	p, problems := Parse(files, zones)
	first := problems
	for p == nil {
		if !k.holdBack(problems) {
			return Kept{}, first
		}
		p, problems = Parse(k.files, zones)
	}
	kept := Kept{Programme: p, Files: k.files}
	for _, file := range slices.Sorted(maps.Keys(k.out)) {
		kept.Out = append(kept.Out, Out{File: file, Before: before[file] != nil, Problems: inOrder(k.out[file])})
	}
	return kept, nil
}

// keeping is a search for the files to hold back.
type keeping struct {
	before, files Files
	zones         Zones
	out           map[string][]Problem // by file that is held back
}

// holdBack holds back the sites' files that problems come from; it is false
// where none can be found or others are to blame.
func (k *keeping) holdBack(problems []Problem) bool {
	found := map[string][]Problem{}
	for _, p := range problems {
		if path.Dir(p.File) != sitesDir {
			return false
		}
		if k.changed(p.File) {
			found[p.File] = append(found[p.File], p)
		}
	}
	if len(found) == 0 { // a file as it was accepted is in trouble through another one's change
		file, ok := k.culprit()
		if !ok {
			return false
		}
		found[file] = problems
	}
	for file, of := range found {
		k.out[file] = append(k.out[file], of...)
		k.revert(k.files, file)
	}
	return true
}

// changed tells whether a file of a site is another one than was accepted, and
// isn't held back yet.
func (k *keeping) changed(file string) bool {
	now, there := k.files[file]
	return there && path.Dir(file) == sitesDir && k.out[file] == nil && !bytes.Equal(now, k.before[file])
}

// culprit gives the one changed file of a site without which all is well, such
// as a new site with the code of an old one.
func (k *keeping) culprit() (file string, ok bool) {
	for _, file := range slices.Sorted(maps.Keys(k.files)) {
		if !k.changed(file) {
			continue
		}
		without := maps.Clone(k.files)
		k.revert(without, file)
		if _, problems := Parse(without, k.zones); len(problems) == 0 {
			return file, true
		}
	}
	return "", false
}

// revert puts the file that was accepted before in a file's place.
func (k *keeping) revert(files Files, file string) {
	if old, there := k.before[file]; there {
		files[file] = old
	} else {
		delete(files, file)
	}
}
