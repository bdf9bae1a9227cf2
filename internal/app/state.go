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
	path := filepath.Join(state, "link.key")
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
	return key, writeWhole(path, key, 0o600)
}

// writeWhole writes a file so that it is there whole or not at all.
func writeWhole(path string, body []byte, mode os.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(body)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

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
