package feed_test

import (
	"fmt"
	"maps"
	"path"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestEveryLineOfEXPECTED reads feeds/EXPECTED.txt itself: two lines an entry,
// the sample and its figures, which were counted without any parser of ours.
// Each entry must have a pattern that takes the whole line, so that no figure
// goes unread, and a check that holds the parser to the figures as they stand
// there. A line without one fails.
func TestEveryLineOfEXPECTED(t *testing.T) {
	var name string
	met := map[string]bool{}
	for i, text := range strings.Split(strings.TrimRight(string(real(t, "feeds/EXPECTED.txt")), "\n"), "\n") {
		switch {
		case i == 0 || strings.TrimSpace(text) == "":
		case !strings.HasPrefix(text, " "):
			name = text
		default:
			met[name] = true
			t.Run(name, func(t *testing.T) {
				checkLine(t, expectedLine{name: name, figures: strings.TrimSpace(text), number: i + 1})
			})
		}
	}
	if len(met) < 39 {
		t.Errorf("only %d entries were found: did the file's form change?", len(met))
	}
}

// expectedLine is an entry.
type expectedLine struct {
	name, figures string
	number        int
	body          []byte
	m             []string // what the pattern took, from 1
}

// lineCheck is how entries of one form are checked.
type lineCheck struct {
	names   string // path.Match of the samples
	pattern string
	check   func(t *testing.T, l expectedLine)
}

func checkLine(t *testing.T, l expectedLine) {
	t.Helper()
	l.body = real(t, "feeds/"+l.name)
	for _, c := range lineChecks {
		if ok, _ := path.Match(c.names, l.name); !ok {
			continue
		}
		if l.m = regexp.MustCompile("^" + c.pattern + "$").FindStringSubmatch(l.figures); l.m != nil {
			c.check(t, l)
			return
		}
	}
	t.Errorf("EXPECTED.txt:%d: nothing here checks %q: add it to lineChecks", l.number, l.figures)
}

// is compares a figure of the line, as it is written there.
func (l expectedLine) is(t *testing.T, what string, group int, got any) {
	t.Helper()
	if text := fmt.Sprint(got); text != l.m[group] {
		t.Errorf("EXPECTED.txt:%d: %s is %s, and here %s", l.number, what, l.m[group], text)
	}
}

// sum compares a figure to a billionth.
func (l expectedLine) sum(t *testing.T, what string, group int, got float64) {
	t.Helper()
	want, err := strconv.ParseFloat(l.m[group], 64)
	if err != nil || got-want > 1e-6 || want-got > 1e-6 {
		t.Errorf("EXPECTED.txt:%d: %s is %s, and here %g", l.number, what, l.m[group], got)
	}
}

// counts compares a list of counts such as {'TMK': 0}.
func (l expectedLine) counts(t *testing.T, what string, group int, got map[string]int) {
	t.Helper()
	if want := countsIn(l.m[group]); !maps.Equal(want, got) {
		t.Errorf("EXPECTED.txt:%d: %s are %v, and here %v", l.number, what, want, got)
	}
}

func countsIn(text string) map[string]int {
	all := map[string]int{}
	for _, m := range regexp.MustCompile(`'?([\w:.]+)'?: (-?\d+)`).FindAllStringSubmatch(text, -1) {
		all[m[1]], _ = strconv.Atoi(m[2])
	}
	return all
}
