package app

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
)

// StateDir is where the program keeps what is its own: --state, else what
// systemd gives, else /var/lib/budcall for root, else the user's state folder.
func StateDir(flag string) (string, error) {
	switch {
	case flag != "":
		return filepath.Abs(flag)
	case os.Getenv("STATE_DIRECTORY") != "":
		dir, _, _ := strings.Cut(os.Getenv("STATE_DIRECTORY"), ":")
		return dir, nil
	case os.Geteuid() == 0:
		return "/var/lib/budcall", nil
	case os.Getenv("XDG_STATE_HOME") != "":
		return filepath.Join(os.Getenv("XDG_STATE_HOME"), "budcall"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("looking for a place to keep state: %w (name one with --state DIR)", err)
	}
	return filepath.Join(home, ".local", "state", "budcall"), nil
}

// makeStateDir makes the state folder; others may pass through it (the
// private PostgreSQL runs as another user) but not look around.
func makeStateDir(dir string) error {
	if err := os.MkdirAll(dir, 0o711); err != nil {
		return fmt.Errorf("making the state folder: %w (choose another with --state DIR)", err)
	}
	return nil
}

// linkKey reads the key that signs links, or makes it at the first start.
func linkKey(state string) ([]byte, error) {
	path := filepath.Join(state, linkKeyName)
	key, err := os.ReadFile(path)
	if err == nil {
		if len(key) < 32 {
			return nil, fmt.Errorf("%s is too short to sign links: remove it, and a new one is made (links in earlier mails stop working)", path)
		}
		return key, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("reading the key that signs links: %w", err)
	}
	key = make([]byte, 32)
	if _, err := rand.Read(key); err != nil {
		return nil, fmt.Errorf("making the key that signs links: %w", err)
	}
	if err := writeWith(firstWins, path, key, 0o600); err != nil {
		return nil, err
	}
	return os.ReadFile(path) // another process on this folder may have been faster
}

// databaseNote is the file of the state folder that names the file with the
// database's address, as it was when the configuration was last good: a bad
// configuration can't say where the one accepted before is kept.
const databaseNote = "database"

// noteDatabase writes down where the database's address is; no path stands
// for the private PostgreSQL.
func noteDatabase(state, dsnFile string) error {
	if known, err := notedDatabase(state); err == nil && known == dsnFile {
		return nil
	}
	return writeWhole(filepath.Join(state, databaseNote), []byte(dsnFile+"\n"), 0o600)
}

// notedDatabase gives what noteDatabase wrote; empty if it never did.
func notedDatabase(state string) (string, error) {
	body, err := os.ReadFile(filepath.Join(state, databaseNote))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("looking up where the database is: %w (mend the configuration, which says it too)", err)
	}
	return strings.TrimSpace(string(body)), nil
}

// writeWhole writes a file so that it is there whole or not at all.
func writeWhole(path string, body []byte, mode os.FileMode) error {
	return writeWith(os.Rename, path, body, mode)
}

// firstWins puts a file in its place unless there is one.
func firstWins(from, to string) error {
	err := os.Link(from, to)
	switch {
	case err == nil, errors.Is(err, fs.ErrExist):
		return nil
	}
	return os.Rename(from, to) // a file system without links
}

func writeWith(place func(from, to string) error, path string, body []byte, mode os.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w (%s)", path, err, roomAdvice)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(body)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err == nil {
		err = place(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w (%s)", path, err, roomAdvice)
	}
	return nil
}

// roomAdvice is what to do where nothing can be written.
const roomAdvice = "make space on the disk, let the program's user write there, or choose another place with --state DIR"

// secrets reads secrets from the files that the configuration names, once.
type secrets struct {
	dir   string
	mu    sync.Mutex
	known map[string]string
}

// one gives the secret in a file; no file gives none.
func (s *secrets) one(path string) (string, error) {
	if path == "" {
		return "", nil
	}
	if !filepath.IsAbs(path) {
		path = filepath.Join(s.dir, path)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if v, ok := s.known[path]; ok {
		return v, nil
	}
	body, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("reading a secret: %w (make the file, readable for the program's user only)", err)
	}
	v := strings.TrimSpace(string(body))
	if v == "" {
		return "", fmt.Errorf("the secret in %s is empty: write it on one line", path)
	}
	if s.known == nil {
		s.known = map[string]string{}
	}
	s.known[path] = v
	return v, nil
}

func (s *secrets) all(paths []string) ([]string, error) {
	var out []string
	for _, p := range paths {
		v, err := s.one(p)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// forget lets secrets be read again, after the configuration has changed.
func (s *secrets) forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.known = nil
}
