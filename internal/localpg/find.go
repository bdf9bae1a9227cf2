package localpg

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// Install says how to get PostgreSQL where it is missing.
const Install = "install PostgreSQL 14 or newer: Debian and Ubuntu `apt-get install postgresql`, Fedora `dnf install postgresql-server`, macOS `brew install postgresql@17`; or name its bin folder in BUDCALL_PG_BIN"

// oldest is the oldest major version whose SQL we rely on.
const oldest = 14

// binaries are the programs of one PostgreSQL version.
type binaries struct {
	dir   string
	major int
}

// findBinaries looks for initdb and postgres together: where the environment
// or the option says, else on the machine. want is the major version of an
// existing data folder, 0 for a new one.
func findBinaries(explicit string, want int) (binaries, error) {
	named := firstOf(os.Getenv("BUDCALL_PG_BIN"), explicit)
	if named == "" {
		return choose(places(), want)
	}
	b, err := inspect(named)
	if err != nil {
		return b, fmt.Errorf("%w: name the folder that holds initdb and postgres in BUDCALL_PG_BIN, or %s", err, Install)
	}
	switch {
	case want != 0 && b.major != want:
		return b, fmt.Errorf("the data folder is of PostgreSQL %d, and %s holds version %d: name the folder of version %d in BUDCALL_PG_BIN (nothing was changed)", want, b.dir, b.major, want)
	case b.major < oldest:
		return b, fmt.Errorf("%s holds PostgreSQL %d, which is too old: %s", b.dir, b.major, Install)
	}
	return b, nil
}

// choose takes the wanted version wherever it is; for a new data folder the
// newest of the first group that has one we can use.
func choose(groups [][]string, want int) (binaries, error) {
	var seen []string
	for _, group := range groups {
		var newest binaries
		for _, dir := range group {
			b, err := inspect(dir)
			if err != nil {
				continue // no PostgreSQL here: look on
			}
			seen = append(seen, fmt.Sprintf("version %d in %s", b.major, dir))
			if want != 0 && b.major == want {
				return b, nil
			}
			if b.major > newest.major {
				newest = b
			}
		}
		if want == 0 && newest.major >= oldest {
			return newest, nil
		}
	}
	switch {
	case len(seen) == 0:
		return binaries{}, errors.New("no PostgreSQL was found on this machine: " + Install)
	case want != 0:
		return binaries{}, fmt.Errorf("the data folder is of PostgreSQL %d, and this machine has %s: install version %d too (on Debian `apt-get install postgresql-%[1]d`), or move the data over with that version's pg_dump (nothing was changed)", want, strings.Join(seen, ", "), want)
	}
	return binaries{}, fmt.Errorf("this machine has only %s, which is too old: %s", strings.Join(seen, ", "), Install)
}

func firstOf(values ...string) string {
	for _, v := range values {
		if v != "" {
			return v
		}
	}
	return ""
}

// places lists the folders in which the programs may be, the likelier groups
// first.
func places() [][]string {
	var groups [][]string
	if out, err := exec.Command("pg_config", "--bindir").Output(); err == nil {
		groups = append(groups, []string{strings.TrimSpace(string(out))})
	}
	for _, pattern := range []string{
		"/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/opt/homebrew/opt/postgresql@*/bin", "/usr/local/opt/postgresql@*/bin",
		"/Applications/Postgres.app/Contents/Versions/*/bin",
	} {
		if found, err := filepath.Glob(pattern); err == nil {
			groups = append(groups, found)
		}
	}
	if path, err := exec.LookPath("postgres"); err == nil {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			groups = append(groups, []string{filepath.Dir(real)})
		}
	}
	return groups
}

// versionWord is the version in `postgres (PostgreSQL) 15.18 (Debian …)`, also
// of a 17beta1.
var versionWord = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// inspect asks a folder's postgres for its version.
func inspect(dir string) (binaries, error) {
	for _, name := range []string{"initdb", "postgres"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			return binaries{}, fmt.Errorf("there is no %s in %s", name, dir)
		}
	}
	program := filepath.Join(dir, "postgres")
	out, err := exec.Command(program, "--version").Output()
	if err != nil {
		return binaries{}, fmt.Errorf("asking %s for its version: %w", program, err)
	}
	found := versionWord.FindSubmatch(out)
	if found == nil {
		return binaries{}, fmt.Errorf("%s says %q for its version", program, out)
	}
	major, err := strconv.Atoi(string(found[1]))
	if err != nil {
		return binaries{}, fmt.Errorf("%s says %q for its version", program, out)
	}
	return binaries{dir: dir, major: major}, nil
}

// dataVersion gives the major version of a data folder, 0 where there is none.
func dataVersion(data string) (int, error) {
	body, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, os.ErrNotExist) {
		if inside, err := os.ReadDir(data); err == nil && len(inside) > 0 {
			return 0, fmt.Errorf("%s is no data folder of PostgreSQL (there is no PG_VERSION in it): move it away, or choose another place with --state DIR (nothing was changed)", data)
		}
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("reading the version of the data folder: %w (run budcall as the user that made it, or choose another place with --state DIR)", err)
	}
	n, err := strconv.Atoi(string(majorOf(body)))
	if err != nil {
		return 0, fmt.Errorf("%s/PG_VERSION holds %q, which is no version: restore the folder from a backup, or choose another place with --state DIR (nothing was changed)", data, body)
	}
	return n, nil
}

// majorOf is the version before the first dot or line end ("9.6" of old ones).
func majorOf(body []byte) []byte {
	for i, b := range body {
		if b < '0' || b > '9' {
			return body[:i]
		}
	}
	return body
}
