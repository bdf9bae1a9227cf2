package cli_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"mime"
	"net/mail"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"budcall/internal/civil"
	smtp "budcall/internal/mail"
)

// patience is how long a script waits for something that must come.
const patience = 2 * time.Minute

// box is the subjects of the mails that a script's sink has taken.
type box struct {
	mu       sync.Mutex
	subjects []string
	came     chan struct{} // closed when another one comes
}

type boxKey struct{}

func (b *box) take(_, _ string, raw []byte) error {
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		return err
	}
	subject, err := new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject"))
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.subjects = append(b.subjects, subject)
	close(b.came)
	b.came = make(chan struct{})
	return nil
}

// find reports whether a subject holds the text, and what to wait on if none does.
func (b *box) find(text string) (bool, <-chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.subjects {
		if strings.Contains(s, text) {
			return true, nil
		}
	}
	return false, b.came
}

// setup gives a script $STATE, a folder that PostgreSQL's user can reach, and
// $RELAY, a mail sink of its own; $HINDCAST holds invented observations and
// temperatures, $PROFILE is the shipped profile.
func setup(e *testscript.Env) error {
	dir, err := os.MkdirTemp("", "budcall-cli-")
	if err != nil {
		return err
	}
	e.Defer(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o711); err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(context.Background())
	e.Defer(cancel)
	b := &box{came: make(chan struct{})}
	sink, err := smtp.ServeSink(ctx, smtp.SinkOptions{Take: b.take})
	if err != nil {
		return err
	}
	e.Values[boxKey{}] = b
	e.Setenv("STATE", filepath.Join(dir, "state"))
	e.Setenv("RELAY", sink.Addr())
	e.Setenv("HOME", dir)
	startFMI(e)
	e.Setenv("PROFILE", filepath.Join(here, "..", "..", "config", "profiles", "silver-birch.yml"))
	e.Setenv("HINDCAST", filepath.Join(here, "..", "hindcast", "testdata"))
	return nil
}

// example writes the example of one site: example DIR.
func example(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: example DIR")
	}
	ts.Check(writeExample(ts.MkAbs(args[0]), ts.Getenv("RELAY")))
}

// writeExample writes a configuration of one invented site with six springs of
// invented weather.
func writeExample(dir, relay string) error {
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(here, "testdata", "one-site"))); err != nil {
		return err
	}
	programme, err := os.ReadFile(filepath.Join(dir, "programme.yml"))
	if err != nil {
		return err
	}
	profile, err := os.ReadFile(filepath.Join(here, "..", "..", "config", "profiles", "silver-birch.yml"))
	if err != nil {
		return err
	}
	if err := os.Mkdir(filepath.Join(dir, "profiles"), 0o755); err != nil {
		return err
	}
	for name, body := range map[string]string{
		"programme.yml": strings.ReplaceAll(string(programme), "RELAY", relay),
		"station.csv":   weather(), "profiles/silver-birch.yml": string(profile),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(body), 0o644); err != nil {
			return err
		}
	}
	return nil
}

var here, _ = os.Getwd()

// weather is six invented years: a yearly wave, colder and warmer by turns, and
// never the same value for days on end, as of a thermometer that is stuck.
func weather() string {
	var b strings.Builder
	fmt.Fprintln(&b, "date,tmean_c")
	for d := civil.Of(2026, 1, 1); d <= civil.Of(2031, 12, 31); d++ {
		wave := 5 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365)
		fmt.Fprintf(&b, "%s,%.1f\n", d, wave+float64(d.Year()%3)-1+0.1*float64(d%2))
	}
	return b.String()
}

// await waits until a mail has come whose subject holds a text: await TEXT.
func await(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: await TEXT")
	}
	b := ts.Value(boxKey{}).(*box)
	late := time.After(patience)
	for {
		found, more := b.find(args[0])
		if found {
			return
		}
		select {
		case <-more:
		case <-late:
			b.mu.Lock()
			defer b.mu.Unlock()
			ts.Fatalf("no mail %q within %s; there were %q", args[0], patience, b.subjects)
		}
	}
}

// status runs a command and holds its exit status to a number: status 2
// budcall ...; "status killed" is death by kill -9.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N COMMAND ...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit) && exit.ExitCode() < 0:
		got = "killed"
	case errors.As(err, &exit):
		got = strconv.Itoa(exit.ExitCode())
	default:
		ts.Check(err)
	}
	if got != args[0] {
		ts.Fatalf("the exit status is %s, not %s", got, args[0])
	}
}
