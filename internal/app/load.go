package app

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/config"
)

// largestFile bounds one file of the configuration.
const largestFile = 1 << 20

// ReadDir reads the files of a configuration folder: programme.yml and its
// companions, sites/*.yml and profiles/*.yml, by their paths within it.
func ReadDir(dir string) (config.Files, error) {
	return readDir(dir, func(_ string, err error) error { return err })
}

// readDir is ReadDir that asks unread what to do about a file that can't be
// read: nil leaves it out.
func readDir(dir string, unread func(rel string, err error) error) (config.Files, error) {
	files := config.Files{}
	for _, pattern := range []string{"*.y*ml", "sites/*.y*ml", "profiles/*.y*ml"} {
		if err := readable(filepath.Dir(filepath.Join(dir, pattern))); err != nil {
			return nil, err
		}
		paths, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			return nil, fmt.Errorf("looking for configuration files: %w", err)
		}
		for _, path := range paths {
			rel, err := filepath.Rel(dir, path)
			if err != nil {
				return nil, err
			}
			rel = filepath.ToSlash(rel)
			body, err := readSmall(path)
			if err == nil {
				files[rel] = body
			} else if err = unread(rel, err); err != nil {
				return nil, err
			}
		}
	}
	if len(files) == 0 {
		if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("there is no folder %s: name the folder that holds programme.yml", dir)
		}
		return nil, fmt.Errorf("%s holds no programme.yml: name the folder that does (an example is config/)", dir)
	}
	return files, nil
}

// readable refuses a folder that can't be listed, which otherwise would look
// like an empty one: all sites would be gone.
func readable(dir string) error {
	d, err := os.Open(dir)
	if err == nil {
		_, err = d.Readdirnames(1)
		d.Close()
	}
	if err == nil || errors.Is(err, fs.ErrNotExist) || errors.Is(err, io.EOF) {
		return nil
	}
	return fmt.Errorf("reading the configuration: %w (it must be a folder that the program's user may read)", err)
}

// readSmall reads a file of the configuration; what isn't one is refused
// before it is opened, lest a pipe keeps us waiting.
func readSmall(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, fmt.Errorf("reading the configuration: %w (remove it, or mend where it leads to)", err)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("reading the configuration: %s is no file: remove or rename it", path)
	case info.Size() > largestFile:
		return nil, fmt.Errorf("%s is larger than 1 MiB: is it a configuration file? (remove or rename it)", path)
	}
	body, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("reading the configuration: %w (the program's user must be allowed to read it)", err)
	}
	return body, nil
}

// Load reads and checks a configuration folder.
func Load(dir string) (*config.Programme, []config.Problem, error) {
	files, err := ReadDir(dir)
	if err != nil {
		return nil, nil, err
	}
	p, problems := config.Parse(files, time.LoadLocation)
	return p, problems, nil
}

// Problems gives problems as one text, a line each, with the paths as the
// person who runs the program knows them.
func Problems(dir string, problems []config.Problem) string {
	var b strings.Builder
	for _, p := range problems {
		p.File = filepath.Join(dir, p.File)
		fmt.Fprintln(&b, p)
	}
	return b.String()
}

// Absent warns of files that the configuration names and that aren't there (yet).
func Absent(dir string, p *config.Programme) (warnings []config.Problem) {
	for _, st := range p.Stations {
		for _, f := range []struct{ path, what, cure string }{
			{st.Path, "its file", "readings are taken from the moment it is; check the path, which is relative to the configuration folder"},
			{st.KeyFile, "its key_file", "until it is, its provider isn't asked: make it, readable for the program's user only; the path is relative to the configuration folder"},
		} {
			if f.path == "" {
				continue
			}
			if _, err := os.Stat(within(dir, f.path)); err != nil {
				warnings = append(warnings, config.Problem{File: "stations.yml", Path: st.Code, What: f.what + " " + f.path + " isn't there", Cure: f.cure})
			}
		}
	}
	return warnings
}
