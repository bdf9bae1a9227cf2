package web_test

import (
	"bytes"
	"flag"
	"io"
	"log/slog"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/trail"
	"budcall/internal/web"
	"budcall/internal/words"
)

var update = flag.Bool("update", false, "write the golden files anew")

func textLogger(w io.Writer) *slog.Logger { return slog.New(slog.NewTextHandler(w, nil)) }

// examplePages gives every page that is looked at, by name.
func examplePages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, task := range call.Tasks {
		name := "form-" + strings.ReplaceAll(string(task), " ", "-")
		out[name] = get(t, newPages(newMemory(task)), formPath(claimOf(task))).Body.String()
	}
	m := newMemory(call.BagOn)
	p := newPages(m)
	path := formPath(claimOf(call.BagOn))
	out["form-bag-on-problems"] = post(t, p, path, url.Values{
		"key": {"KEY"}, "answer": {"2031-05-01"}, "day": {"2031-06-01"}, "selfing.T1": {"two"}, "control.T1": {"1"},
		"selfing.T9": {"2"}, "seen.01": {"no"}, "seen.07": {"yes"},
	}).Body.String()
	post(t, p, path, url.Values{"key": {"KEY"}, "selfing.T1": {"2"}, "control.T1": {"1"}, "seen.07": {"no"}, "answer": {"2031-05-04"}})
	out["form-bag-on-stored"] = get(t, p, path+"?done=stored").Body.String()
	m = newMemory(call.BagOn)
	m.form.Item.Standing, m.form.Item.Reason = call.TooLate, call.ReportedPast
	m.reports = []trail.Report{{Kind: trail.StageSeen, BBCH: 7, Day: m.form.Today}}
	out["form-ended"] = get(t, newPages(m), path).Body.String()
	c := claimOf(call.BagOn)
	c.Expires = noon.AddDate(0, 0, -1)
	out["plain-expired"] = get(t, newPages(m), formPath(c)).Body.String()
	out["board"] = get(t, newPages(m), "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon})).Body.String()
	m.board = web.Board{Programme: "Birches of the North", Season: 2031, Now: noon}
	out["board-empty"] = get(t, newPages(m), "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon})).Body.String()
	maps.Copy(out, settingsPages(t))
	return out
}

func TestEveryPageReadsAsItsGoldenFile(t *testing.T) {
	for name, got := range examplePages(t) {
		t.Run(name, func(t *testing.T) {
			// The style is the same in all of them; one file of it is enough.
			before, rest, _ := strings.Cut(got, "<style>")
			_, after, _ := strings.Cut(rest, "</style>")
			golden(t, name+".html", []byte(before+after))
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; look at it with -update and git diff:\n%s", path, got)
	}
}

func TestPagesNeedNoScriptAndNothingFromElsewhere(t *testing.T) {
	for name, page := range examplePages(t) {
		for _, bad := range []string{"<script", "javascript:", " onclick", " onload", "http://", "https://", " style=\"", "ZgotmplZ", "{{", "%!"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s holds %q", name, bad)
			}
		}
		if m := regexp.MustCompile(`>[^<]*\{\w+\}[^<]*<`).FindString(strings.Split(page, "</style>")[1]); m != "" {
			t.Errorf("%s: a placeholder was not filled in: %s", name, m)
		}
	}
}

func TestEveryInputHasALabelAndEveryIDIsThereOnce(t *testing.T) {
	id := regexp.MustCompile(` id="([^"]+)"`)
	input := regexp.MustCompile(`<input type="(?:radio|checkbox|date)" id="([^"]+)"|<input class="count" id="([^"]+)"`)
	refs := regexp.MustCompile(`(?:aria-describedby|href="#|aria-labelledby)="?([^"]+)"`)
	for name, page := range examplePages(t) {
		seen := map[string]bool{}
		for _, m := range id.FindAllStringSubmatch(page, -1) {
			if seen[m[1]] {
				t.Errorf("%s: id %q is there twice", name, m[1])
			}
			seen[m[1]] = true
		}
		for _, m := range input.FindAllStringSubmatch(page, -1) {
			if !strings.Contains(page, `for="`+m[1]+m[2]+`"`) {
				t.Errorf("%s: input %q has no label", name, m[1]+m[2])
			}
		}
		for _, m := range refs.FindAllStringSubmatch(page, -1) {
			for _, ref := range strings.Fields(m[1]) {
				if !seen[ref] {
					t.Errorf("%s: %q is pointed to but isn't there", name, ref)
				}
			}
		}
	}
}

func TestTemplatesHoldNoTextsOfTheirOwn(t *testing.T) {
	key := regexp.MustCompile(`C?c?\.Text "([^"]+)"`)
	strip := regexp.MustCompile(`(?s)\{\{.*?\}\}|<[^>]*>`)
	for name, text := range web.TemplateTexts() {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		for _, m := range key.FindAllStringSubmatch(text, -1) {
			if words.For("en").Text(words.Key(m[1])) == m[1] {
				t.Errorf("%s: there is no text %q", name, m[1])
			}
		}
		// Actions go first: they may hold < and >.
		rest := strip.ReplaceAllString(regexp.MustCompile(`(?s)\{\{.*?\}\}`).ReplaceAllString(text, ""), "")
		if regexp.MustCompile(`\pL`).MatchString(rest) {
			t.Errorf("%s holds a text of its own: %q", name, strings.TrimSpace(rest))
		}
	}
}
