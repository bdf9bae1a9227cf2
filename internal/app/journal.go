package app

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"budcall/internal/postgres"
)

// journal is the file of the state folder in which everything is written down
// that must outlive the database: reports, entries of the trail, and what was
// sent. A restored database takes from it what came after the backup.
type journal struct {
	path   string
	log    *slog.Logger
	failed atomic.Pointer[error] // the last failure; nil: all is well
	clear  bool                  // the ops person isn't told of a failure; of the loop that tells
}

const (
	journalName  = "reports.jsonl"
	journalBytes = 4 << 20 // size at which a file is put aside
)

func journalIn(state string, log *slog.Logger) *journal {
	return &journal{path: filepath.Join(state, journalName), log: log}
}

// note appends a line. A report isn't refused because the journal can't be
// written: the database has it; the ops person is told.
func (j *journal) note(n postgres.Noted) {
	line, err := json.Marshal(n)
	if err == nil {
		err = j.append(append(line, '\n'), n.Letter == nil)
	}
	if err == nil {
		j.failed.Store(nil)
		return
	}
	if j.failed.Swap(&err) == nil {
		j.log.Error("the journal can't be written: a backup alone would not bring back what is reported now", "error", err)
	}
}

// append writes a line; durable waits until it is on the disk. What was sent
// needn't be: a lost line costs a mail that comes twice.
func (j *journal) append(line []byte, durable bool) error {
	f, err := j.open()
	if errors.Is(err, fs.ErrNotExist) { // a command beside a program on another machine
		if err = makeStateDir(filepath.Dir(j.path)); err == nil {
			f, err = j.open()
		}
	}
	if err != nil {
		return fmt.Errorf("opening the journal: %w (%s)", err, roomAdvice)
	}
	defer f.Close()
	end, err := f.Seek(0, io.SeekEnd)
	if err == nil && end > 0 { // a killed process may have left half a line
		var last [1]byte
		if _, err = f.ReadAt(last[:], end-1); err == nil && last[0] != '\n' {
			line = append([]byte("\n"), line...)
		}
	}
	if err == nil {
		_, err = f.Write(line)
	}
	if err == nil && durable {
		err = f.Sync()
	}
	if err != nil {
		return fmt.Errorf("writing the journal: %w (%s)", err, roomAdvice)
	}
	if end+int64(len(line)) > journalBytes {
		return j.putAside()
	}
	return nil
}

// open opens the journal, locked against other processes that append to it.
func (j *journal) open() (*os.File, error) {
	for {
		f, err := os.OpenFile(j.path, os.O_RDWR|os.O_APPEND|os.O_CREATE, 0o600)
		if err != nil {
			return nil, err
		}
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX); err != nil {
			f.Close()
			return nil, err
		}
		mine, err := f.Stat()
		now, gone := os.Stat(j.path)
		if err == nil && gone == nil && os.SameFile(mine, now) {
			return f, likeFolder(f)
		}
		f.Close() // another process has put it aside meanwhile
		if err != nil {
			return nil, err
		}
	}
}

// likeFolder gives a file the owner of its folder, so that root, who reports by
// command, doesn't lock the program's user out.
func likeFolder(f *os.File) error {
	if os.Geteuid() != 0 {
		return nil
	}
	folder, err := os.Stat(filepath.Dir(f.Name()))
	if err != nil {
		return err
	}
	if stat, ok := folder.Sys().(*syscall.Stat_t); ok {
		return f.Chown(int(stat.Uid), int(stat.Gid))
	}
	return nil
}

// putAside renames a full journal; its name tells until when it goes.
func (j *journal) putAside() error {
	aside := strings.TrimSuffix(j.path, ".jsonl") + time.Now().UTC().Format("-20060102T150405.000000000") + ".jsonl"
	return os.Rename(j.path, aside)
}

// journals lists the files of a state folder's journal, the oldest first.
func journals(state string) ([]string, error) {
	aside, err := filepath.Glob(filepath.Join(state, strings.TrimSuffix(journalName, ".jsonl")+"-*.jsonl"))
	if err != nil {
		return nil, err
	}
	slices.Sort(aside)
	now := filepath.Join(state, journalName)
	if _, err := os.Stat(now); err == nil {
		aside = append(aside, now)
	}
	return aside, nil
}

// readJournal gives what was noted from a moment on, in order, and the lines
// that can't be read, each with its place.
func readJournal(state string, from time.Time) (list []postgres.Noted, bad []string, err error) {
	files, err := journals(state)
	if err != nil {
		return nil, nil, err
	}
	for _, path := range files {
		f, err := os.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue // put aside or removed just now
		}
		if err != nil {
			return nil, nil, fmt.Errorf("reading the journal: %w (run this as root, or as the user that runs budcall)", err)
		}
		err = eachNoted(f, func(line int, n postgres.Noted, wrong error) {
			switch {
			case wrong != nil:
				bad = append(bad, fmt.Sprintf("%s:%d: %v", path, line, wrong))
			case !n.At.Before(from):
				list = append(list, n)
			}
		})
		if err = errors.Join(err, f.Close()); err != nil {
			return nil, nil, fmt.Errorf("reading the journal %s: %w", path, err)
		}
	}
	return list, bad, nil
}

// eachNoted gives every line of a journal.
func eachNoted(from io.Reader, f func(line int, n postgres.Noted, wrong error)) error {
	r := bufio.NewReaderSize(from, 1<<16)
	for line := 1; ; line++ {
		body, err := r.ReadBytes('\n')
		if len(bytes.TrimSpace(body)) > 0 {
			var n postgres.Noted
			wrong := json.Unmarshal(body, &n)
			f(line, n, wrong)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// journalTrouble is the subject under which the ops person is told of a journal
// that can't be written.
const journalTrouble = "journal"

// tellTrouble notes that the journal can't be written, or that it can again.
func (j *journal) tellTrouble(ctx context.Context, db *postgres.DB, at time.Time) error {
	if err := j.failed.Load(); err != nil {
		j.clear = false
		return db.Raise(ctx, journalTrouble, "What is reported isn't written into the journal, so that a backup alone would not bring it back: "+(*err).Error()+".", at)
	}
	if j.clear {
		return nil
	}
	j.clear = true
	return db.Over(ctx, journalTrouble, at)
}
