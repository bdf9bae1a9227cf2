package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"budcall/internal/config"
)

// home says where the memory of a programme is that shares an installation with
// others: its state folder is a sub-folder, named for its code, of that of the
// installation, and its database is one of several in one private PostgreSQL.
// The zero value is a programme that has its state folder to itself.
type home struct {
	pg       string // the folder of the private PostgreSQL; empty: pg in the state folder
	database string // the programme's database in it; empty: the only one
}

// pgDir is where the private PostgreSQL is.
func (o Options) pgDir() string {
	if o.home.pg != "" {
		return o.home.pg
	}
	return filepath.Join(o.State, "pg")
}

// folderNote is the file of a programme's home that names its configuration
// folder, as it was when that was last good. It is what a home is known by.
const folderNote = "folder"

// codeForm is how a programme's code is written, so that a folder can be named
// for it.
var codeForm = regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,15}$`)

// homeOf gives the options of the programme of a code in an installation.
func (o Options) homeOf(code string) Options {
	o.home = home{pg: filepath.Join(o.State, "pg"), database: databaseOf(code)}
	o.State = filepath.Join(o.State, code)
	return o
}

// databaseOf names a programme's database: codes have no underscores, so that
// no two programmes get the same.
func databaseOf(code string) string {
	return "budcall_" + strings.ReplaceAll(strings.ToLower(code), "-", "_")
}

// homesIn lists the codes of the programmes that have a home in a state folder,
// in order; none where one programme has the folder to itself.
func homesIn(state string) (codes []string) {
	found, err := os.ReadDir(state)
	if err != nil {
		return nil // whoever needs what is in it will say so
	}
	for _, e := range found {
		if isHome(filepath.Join(state, e.Name())) {
			codes = append(codes, e.Name())
		}
	}
	return codes
}

// isHome reports whether a state folder is that of one programme of several.
func isHome(state string) bool {
	_, err := os.Stat(filepath.Join(state, folderNote))
	return err == nil && codeForm.MatchString(filepath.Base(state))
}

// notedFolder gives the configuration folder of a home; empty if it isn't known.
func notedFolder(state string) (string, error) {
	body, err := os.ReadFile(filepath.Join(state, folderNote))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("looking up whose state it is: %w (run this as root, or as the user that runs budcall)", err)
	}
	return strings.TrimSpace(string(body)), nil
}

func noteFolder(state, dir string) error {
	if known, err := notedFolder(state); err == nil && known == dir && isHome(state) {
		return nil
	}
	return writeWhole(filepath.Join(state, folderNote), []byte(dir+"\n"), 0o600)
}

// Locate finds the memory of a programme: the state folder itself where one
// programme has it, else the home of the one of that code; no code stands for
// the only one. With making, a home that isn't there will be made.
func Locate(o Options, code string, making bool) (Options, error) {
	if isHome(o.State) {
		own := filepath.Base(o.State)
		if code != "" && code != own {
			return o, fmt.Errorf("%s is the state of the programme %s, and %s was asked for: name the folder above it with --state, or leave --programme out", o.State, own, code)
		}
		o.State = filepath.Dir(o.State)
		return o.homeOf(own).addressed()
	}
	codes := homesIn(o.State)
	switch {
	case making && codeForm.MatchString(code) && (len(codes) > 0 || !soleState(o.State)):
	case len(codes) == 0 && code == "":
		return o, nil
	case len(codes) == 0:
		return o, fmt.Errorf("%s isn't the state of several programmes: leave --programme out, or name the right folder with --state DIR", o.State)
	case code == "" && len(codes) > 1:
		return o, fmt.Errorf("%s holds the programmes %s: say which with --programme CODE", o.State, listed(codes))
	case code == "":
		code = codes[0]
	case !slices.Contains(codes, code):
		return o, fmt.Errorf("%s holds no programme %q: there %s", o.State, code, isOrAre(codes))
	}
	return o.homeOf(code).addressed()
}

// soleState reports whether one programme has a state folder to itself.
func soleState(state string) bool {
	_, err := os.Stat(filepath.Join(state, linkKeyName))
	return err == nil
}

// addressed completes options by the database's address where the programme has
// one of its own, as noted when its configuration was last good.
func (o Options) addressed() (Options, error) {
	file, err := notedDatabase(o.State)
	if err != nil || o.DSN != "" || file == "" {
		return o, err
	}
	dir, err := notedFolder(o.State)
	if err == nil {
		o.DSN, err = (&secrets{dir: dir}).one(file)
	}
	if err != nil {
		return o, fmt.Errorf("looking up the database of %s: %w (or name the file with its address with --database-file)", filepath.Base(o.State), err)
	}
	return o, nil
}

// listed gives words as a text: "A", "A and B", "A, B and C".
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

func isOrAre(codes []string) string {
	if len(codes) == 1 {
		return "is only " + codes[0]
	}
	return "are " + listed(codes)
}

// codeOf gives the code that a configuration folder has, good or bad; empty
// where it can't be read.
func codeOf(dir string) string {
	files, err := ReadDir(dir)
	if err != nil {
		return ""
	}
	return config.CodeIn(files)
}
