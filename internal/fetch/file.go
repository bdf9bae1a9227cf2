package fetch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// MaxBytes is the size up to which a file or an answer is read.
const MaxBytes = 32 << 20

// ReadFile reads a regular file of at most MaxBytes. Its errors are *Error: a
// file that isn't there may come later, everything else needs a person.
func ReadFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	switch {
	case info.IsDir():
		return nil, &Error{text: path + ": is a folder: name a file in it"}
	case !info.Mode().IsRegular(): // a pipe would make us wait for ever
		return nil, &Error{text: path + ": is no regular file: name one"}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	body, err := readLimited(f, MaxBytes)
	if errors.Is(err, errTooLarge) {
		return nil, &Error{cause: err, text: fmt.Sprintf("%s: is larger than %d MiB: keep one station a file", path, MaxBytes>>20)}
	}
	if err != nil {
		return nil, fileError(path, err)
	}
	return body, nil
}

func fileError(path string, err error) error {
	e := &Error{cause: err, text: fmt.Sprintf("%s: can't be read (%s): look at the file and the disk", path, plain(err))}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.kind, e.Temporary = ErrNoFile, true
		e.text = path + ": isn't there: correct the path, or look at what should write it"
	case errors.Is(err, fs.ErrPermission):
		e.text = path + ": may not be read by this program: give its user the right to read it"
	}
	return e
}

// plain is the cause without the path that os repeats.
func plain(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
