package app

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/postgres"
	"budcall/internal/pseudonym"
)

// rewriteJournals replaces a person in every line of the journal, and counts
// the lines. Where forGood is false nothing is changed.
func rewriteJournals(state string, r *pseudonym.Replacer, forGood bool) (n int, err error) {
	files, err := journals(state)
	if err != nil {
		return 0, err
	}
	for _, path := range files {
		lines, _, err := rewriteJournal(path, forGood, func(line []byte) []byte { return replacedLine(line, r) })
		if err != nil {
			return n, fmt.Errorf("replacing a person in the journal %s: %w", path, err)
		}
		n += lines
	}
	return n, nil
}

// rewriteJournal puts what change gives in the place of every line of a file,
// which nobody may append to meanwhile; nil takes a line out. It counts the
// lines that are changed and those that are left.
func rewriteJournal(path string, forGood bool, change func([]byte) []byte) (n, left int, err error) {
	j := journal{path: path}
	f, err := j.open()
	if err != nil {
		return 0, 0, err
	}
	defer f.Close()
	var out bytes.Buffer
	for in := bufio.NewReader(f); ; {
		line, err := in.ReadBytes('\n')
		if line = bytes.TrimRight(line, "\n"); len(line) > 0 {
			now := change(line)
			if !bytes.Equal(now, line) {
				n++
			}
			if now != nil {
				left++
				out.Write(now)
				out.WriteByte('\n')
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return 0, 0, err
		}
	}
	if n == 0 || !forGood {
		return n, left, nil
	}
	owner, err := f.Stat()
	if err != nil {
		return 0, 0, err
	}
	if err := writeWhole(path, out.Bytes(), owner.Mode().Perm()); err != nil { // who waits for the lock sees that the file is another
		return 0, 0, err
	}
	again, err := os.Open(path)
	if err != nil {
		return 0, 0, err
	}
	defer again.Close()
	return n, left, likeFolder(again)
}

// replacedLine gives a line without the person; what is no JSON is half a line
// that a killed process left, which is text.
func replacedLine(line []byte, r *pseudonym.Replacer) []byte {
	if now, err := r.JSON(line); err == nil {
		return now
	}
	return []byte(r.Text(string(line)))
}

// dropJournals takes out of the journal what was noted before a moment, and
// removes the files that were put aside and have nothing left. A line that can't
// be read is as old as the one before it, or, at the beginning, the one after.
func dropJournals(state string, before time.Time) error {
	files, err := journals(state)
	if err != nil {
		return err
	}
	var at time.Time
	for _, path := range files {
		if at.IsZero() {
			at = firstNoted(path)
		}
		_, left, err := rewriteJournal(path, true, func(line []byte) []byte {
			var n struct {
				At time.Time `json:"at"`
			}
			if json.Unmarshal(line, &n) == nil {
				at = n.At
			}
			if !at.IsZero() && at.Before(before) {
				return nil
			}
			return line
		})
		if err == nil && left == 0 && filepath.Base(path) != journalName {
			if err = os.Remove(path); errors.Is(err, fs.ErrNotExist) {
				err = nil // another process did
			}
		}
		if err != nil {
			return fmt.Errorf("taking what is old out of the journal %s: %w (the program's user must be allowed to write it)", path, err)
		}
	}
	return nil
}

// firstNoted gives the time of the first line that can be read; zero: of none.
func firstNoted(path string) (at time.Time) {
	f, err := os.Open(path)
	if err != nil {
		return at
	}
	defer f.Close()
	_ = eachNoted(f, func(_ int, n postgres.Noted, wrong error) {
		if at.IsZero() && wrong == nil {
			at = n.At
		}
	})
	return at
}

// forgottenName is the file of the state folder that knows who was forgotten,
// by marks that only the key of links makes of a code.
const forgottenName = "forgotten.jsonl"

type forgottenLine struct {
	Mark string    `json:"mark"`
	As   string    `json:"as"`
	At   time.Time `json:"at"`
}

func noteForgotten(state, code, as string, at time.Time) error {
	key, err := linkKey(state)
	if err != nil {
		return err
	}
	marks, err := forgottenMarks(state)
	if err != nil {
		return err
	}
	m := mark(key, code)
	for _, known := range marks {
		if known == m {
			return nil
		}
	}
	line, err := json.Marshal(forgottenLine{m, as, at})
	if err != nil {
		return err
	}
	j := journal{path: filepath.Join(state, forgottenName)}
	return j.append(append(line, '\n'), true)
}

func forgottenMarks(state string) (marks []string, err error) {
	body, err := os.ReadFile(filepath.Join(state, forgottenName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading who was forgotten: %w (run this as root, or as the user that runs budcall)", err)
	}
	for line := range strings.Lines(string(body)) {
		var l forgottenLine
		if json.Unmarshal([]byte(line), &l) == nil {
			marks = append(marks, l.Mark)
		}
	}
	return marks, nil
}
