package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"budcall/internal/app"
	"budcall/internal/config"
)

// replaceFiles writes the changed files of a configuration folder: all of
// them, or none. Each is first written whole beside the old one, with its
// rights and owner; only then do they take the old ones' places. Files that
// somebody else has changed since they were read are not written over.
func replaceFiles(dir string, read, changed config.Files) (err error) {
	now, err := app.ReadDir(dir)
	if err != nil {
		return err
	}
	if !maps.EqualFunc(now, read, bytes.Equal) {
		return fmt.Errorf("a file in %s was changed meanwhile, so nothing was written: run the command again", dir)
	}
	var swaps []swap
	defer func() {
		for _, s := range swaps {
			os.Remove(s.beside) // gone already where it took its place
		}
	}()
	for _, name := range slices.Sorted(maps.Keys(changed)) {
		s, err := prepare(filepath.Join(dir, filepath.FromSlash(name)), read[name], changed[name])
		if err != nil {
			return fmt.Errorf("nothing was written: %w (the folder must be writable, and the disk not full)", err)
		}
		swaps = append(swaps, s)
	}
	for n, s := range swaps {
		if err := os.Rename(s.beside, s.path); err != nil {
			return errors.Join(fmt.Errorf("nothing was written: %w (the folder must be writable)", err), takeBack(swaps[:n]))
		}
	}
	return nil
}

// swap is one file that waits to take another's place.
type swap struct {
	path   string // of the file itself, where a link leads to it
	beside string
	old    []byte // nil: there was none
}

// prepare writes a file beside the one that it is to replace.
func prepare(path string, old, content []byte) (s swap, err error) {
	s = swap{path: path, old: old}
	mode := fs.FileMode(0o644)
	info, err := os.Stat(path)
	switch {
	case err == nil:
		mode = info.Mode().Perm()
		if s.path, err = filepath.EvalSymlinks(path); err != nil {
			return s, err
		}
	case !errors.Is(err, fs.ErrNotExist):
		return s, err
	}
	f, err := os.CreateTemp(filepath.Dir(s.path), "."+filepath.Base(s.path)+".new-")
	if err != nil {
		return s, err
	}
	s.beside = f.Name()
	_, err = f.Write(content)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err == nil && info != nil {
		err = keepOwner(s.beside, info)
	}
	if err != nil {
		os.Remove(s.beside)
	}
	return s, err
}

// takeBack puts the old files back.
func takeBack(swaps []swap) (err error) {
	for _, s := range swaps {
		if s.old == nil {
			err = errors.Join(err, os.Remove(s.path))
			continue
		}
		again, failed := prepare(s.path, nil, s.old)
		if failed == nil {
			failed = os.Rename(again.beside, s.path)
		}
		err = errors.Join(err, failed)
	}
	if err != nil {
		return fmt.Errorf("and what was written could not be taken back: %w (look at the folder, and run `budcall check`)", err)
	}
	return nil
}
