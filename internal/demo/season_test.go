package demo

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"testing"

	"budcall/internal/civil"
)

// played is a season that was played.
type played struct {
	outcome outcome
	result  Result
	letters []letter
	out     string
	stdout  string
	failed  error
}

// artefacts is where the whole season's mails and pictures go.
var artefacts string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "budcall-season-test-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	artefacts = filepath.Join(dir, "season")
	if kept := os.Getenv("BUDCALL_ARTEFACTS"); kept != "" {
		artefacts = filepath.Join(kept, "season")
		_ = os.RemoveAll(artefacts)
	}
	debug.SetGCPercent(400) // as Play does
	code := m.Run()
	_ = os.RemoveAll(dir)
	os.Exit(code)
}

// wholeSeason is played once for all tests.
var wholeSeason = sync.OnceValue(func() played { return play(artefacts, lastDay) })

// play plays the season until a day; a whole one is judged as for people.
func play(out string, until civil.Date) (p played) {
	ctx := context.Background()
	var stdout bytes.Buffer
	s, err := open(ctx, Options{Dir: example, Out: out, Stdout: &stdout, Version: "test"})
	if err == nil {
		s.last = until
		err = s.season(ctx)
	}
	if err == nil && until == lastDay {
		p.result, err = s.finish(ctx)
	}
	if err == nil {
		p.outcome, err = s.gather(ctx)
		p.letters = inOrder(s.box.all)
	}
	p.out, p.stdout, p.failed = out, stdout.String(), err
	if err := s.close(); p.failed == nil {
		p.failed = err
	}
	return p
}

func whole(t *testing.T) played {
	t.Helper()
	p := wholeSeason()
	if p.failed != nil {
		t.Fatalf("%v\n%s", p.failed, p.stdout)
	}
	return p
}

func TestTheSeasonIsPlayed(t *testing.T) {
	p := whole(t)
	t.Logf("\n%s", p.stdout)
	lines := strings.Split(strings.TrimSpace(p.stdout), "\n")
	last := regexp.MustCompile(`^season played: (\d+) sites, (\d+) calls, (\d+) mails, (\d+) reports$`)
	if !last.MatchString(lines[len(lines)-1]) {
		t.Errorf("the last line is %q", lines[len(lines)-1])
	}
	mails := p.result.Mails
	for pattern, want := range map[string]int{"mails/*.eml": mails, "mails/*.html": mails, "*.svg": p.result.Sites, "season.txt": 1, "webhooks.jsonl": 1} {
		found, err := filepath.Glob(filepath.Join(p.out, pattern))
		if err != nil || len(found) != want {
			t.Errorf("%d files are called %s, want %d (%v)", len(found), pattern, want, err)
		}
		for _, path := range found {
			if info, err := os.Stat(path); err != nil || info.Size() < 100 {
				t.Errorf("%s is empty: %v", path, err)
			}
		}
	}
	events, err := os.ReadFile(filepath.Join(p.out, "webhooks.jsonl"))
	if n := bytes.Count(events, []byte("\n")); err != nil || n != p.outcome.events {
		t.Errorf("%d messages were kept of %d (%v)", n, p.outcome.events, err)
	}
	text, err := os.ReadFile(filepath.Join(p.out, "season.txt"))
	if err != nil || !strings.Contains(string(text), p.result.Table) || !strings.Contains(string(text), p.result.String()) {
		t.Errorf("season.txt lacks the table or the last line: %v", err)
	}
}

// Addresses, signatures in links, and the IDs of letters, which nobody may
// guess, differ from run to run, nothing else.
var byChance = regexp.MustCompile(`http://127\.0\.0\.1:\d+/[a-z]+/[A-Za-z0-9_-]+\.[A-Za-z0-9_-]+|\d{8}T\d{6}-[a-z2-7]{13}`)

// A second, shorter run tells the same people the same things at the same
// times: it ends when the bags of the first sites are on.
func TestASeasonIsTheSameEachTime(t *testing.T) {
	first := whole(t)
	until := civil.MustParse("2031-04-20")
	again := play(t.TempDir(), until)
	if again.failed != nil {
		t.Fatal(again.failed)
	}
	early := slices.DeleteFunc(slices.Clone(first.letters), func(l letter) bool { return civil.At(l.at.UTC()) > until })
	if len(early) != len(again.letters) || len(early) < 10 {
		t.Fatalf("%d mails until %s, and then %d", len(early), until, len(again.letters))
	}
	for i, l := range early {
		a, b := string(byChance.ReplaceAll([]byte(l.text), nil)), string(byChance.ReplaceAll([]byte(again.letters[i].text), nil))
		if l.subject != again.letters[i].subject || a != b {
			t.Errorf("mail %d differs:\n%s\n%s\n\n%s\n%s", i, l.subject, a, again.letters[i].subject, b)
		}
	}
}

func TestEveryOddityHappens(t *testing.T) {
	p := whole(t)
	for _, what := range []string{"early", "cannot"} {
		if !p.outcome.odd.heard[what] {
			t.Errorf("nobody did what %q stands for", what)
		}
	}
	if st := silence; st.Len() != 7 {
		t.Errorf("a station is silent for %d days, want a week", st.Len())
	}
	substituted := slices.ContainsFunc(p.letters, func(l letter) bool { return strings.Contains(l.text, "Tamsi mill") })
	if !substituted {
		t.Error("no mail names the station that stands in for the silent one")
	}
	people := map[string]bool{}
	for _, l := range p.letters {
		people[l.to] = true
	}
	if len(people) < 6 {
		t.Errorf("only these were written to: %v", slices.Sorted(maps.Keys(people)))
	}
}
