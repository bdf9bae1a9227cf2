package web_test

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/link"
	"budcall/internal/trail"
	"budcall/internal/web"
)

// waiting is a mail that waits for a yes.
type waiting struct{}

func (waiting) Held(context.Context, link.Claim) (web.Held, bool, error) {
	return web.Held{Lang: "en", Lines: []string{"bags on T1: 2 selfing bags"}}, true, nil
}

func (waiting) Confirm(context.Context, link.Claim) (bool, error) { return true, nil }

// usedPages are the pages that people use, behind their real handler, by name.
func usedPages(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	serve := func(name string, m *memory, path string) {
		p := web.New(web.Options{Store: m, Holder: waiting{}, Key: key, Version: "v0"})
		s := httptest.NewServer(p)
		t.Cleanup(s.Close)
		out[name] = s.URL + path
	}
	for _, task := range call.Tasks {
		m := newMemory(task)
		m.reports = []trail.Report{{Kind: trail.Going, Day: civil.At(noon), On: civil.At(noon)}}
		serve("form: "+string(task), m, formPath(claimOf(task)))
	}
	serve("form that was stored", func() *memory {
		m := newMemory(call.BagOn)
		m.reports = []trail.Report{{Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: civil.At(noon)}}
		return m
	}(), formPath(claimOf(call.BagOn))+"?done=stored&photo=place")
	serve("board", newMemory(call.BagOn), "/board/"+link.Sign(key, link.Claim{Opens: "board", Expires: noon.AddDate(0, 0, 1)}))
	serve("held mail", newMemory(call.BagOn), "/held/"+link.Sign(key, link.Held("ada", 7, noon.AddDate(0, 0, 1))))
	serve("refusal", newMemory(call.BagOn), "/form/altered")
	for name, scene := range settingsScenes() {
		if scene.sends != nil {
			continue // as they are sent, these are measured and held to their golden files
		}
		s := httptest.NewServer(settingsHandler(scene.desk))
		t.Cleanup(s.Close)
		out[name] = s.URL + scene.path
	}
	return out
}

// problemsPage leads the browser to a form with everything wrong, as who sent
// it sees it.
func problemsPage(b *browser, form string) {
	b.open(form)
	b.eval(`(() => { for (const i of document.querySelectorAll('input.count')) i.value = 'x'; document.querySelector('#f-day').value = '2032-01-01'; })()`, nil)
	b.eval(`document.querySelector('button').focus()`, nil)
	b.press("Enter")
	b.loaded()
}

// Widths in CSS pixels: a small phone, the same at 200 % zoom, where half as
// many remain, and a desk of 1280 at 400 % (WCAG 2.2, 1.4.10: 320; from memory).
func TestPagesFitSmallPhonesAndZoom(t *testing.T) {
	b := openBrowser(t)
	const measure = `(() => {
		for (const e of document.querySelectorAll('details')) e.open = true;
		const small = [...document.querySelectorAll('button,summary,input,textarea,label:not(.unseen)')].filter(e => e.type !== 'hidden').map(e => {
			const r = e.getBoundingClientRect();
			return {e: e.id || e.htmlFor || e.tagName, w: r.width, h: r.height, label: e.tagName === 'LABEL' && !e.closest('.pick')};
		}).filter(x => !x.label && (x.w < 24 || x.h < 24)).map(x => x.e + ' ' + x.w + 'x' + x.h);
		const out = [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 0.5).map(e => e.tagName + "." + e.getAttribute("class")).slice(0, 12);
		return {out, wide: document.documentElement.scrollWidth, window: innerWidth, small};
	})()`
	for name, at := range usedPages(t) {
		for _, screen := range []struct {
			width int
			scale float64
		}{{360, 3}, {320, 4}, {180, 6}} {
			b.size(screen.width, screen.scale)
			b.open(at)
			var got struct {
				Wide, Window int
				Small, Out   []string
			}
			b.eval(measure, &got)
			if got.Window != screen.width || got.Wide > screen.width {
				t.Errorf("%s is %d wide in a window of %d, which is %d: %v", name, got.Wide, screen.width, got.Window, got.Out)
			}
			if len(got.Small) > 0 { // WCAG 2.2, 2.5.8 Target Size (Minimum): 24 px (from memory)
				t.Errorf("%s at %d: too small to touch: %v", name, screen.width, got.Small)
			}
		}
	}
}

// stops lists what the Tab key must reach, in the order of the page: of radio
// buttons of one name only the chosen one, since the arrows lead on.
const stops = `[...document.querySelectorAll('a[href],button,summary,input,textarea')]
	.filter(e => e.type !== 'hidden' && (e.type !== 'radio' || e.checked) && (e.tagName === 'SUMMARY' || !e.closest('details:not([open])')))
	.map(e => e.id || e.tagName + [...document.querySelectorAll(e.tagName)].indexOf(e))`

func TestTheKeyboardReachesEverything(t *testing.T) {
	b := openBrowser(t)
	b.size(390, 2)
	for name, at := range usedPages(t) {
		b.open(at)
		b.eval(`(() => { for (const e of document.querySelectorAll('details')) e.open = true; document.activeElement.blur(); })()`, nil)
		var want, got []string
		b.eval(stops, &want)
		for range 8*len(want) + 8 { // a day is three stops and a button
			b.press("Tab")
			var at struct {
				ID      string
				Outline bool
			}
			b.eval(`(() => { const e = document.activeElement; return {id: e === document.body ? '' : e.id || e.tagName + [...document.querySelectorAll(e.tagName)].indexOf(e), outline: getComputedStyle(e).outlineStyle !== 'none'}; })()`, &at)
			if at.ID == "" || len(got) > 0 && at.ID == got[0] && got[len(got)-1] != at.ID {
				break
			}
			if !at.Outline {
				t.Errorf("%s: nobody sees that %s has the focus", name, at.ID)
			}
			if len(got) == 0 || got[len(got)-1] != at.ID {
				got = append(got, at.ID)
			}
		}
		if strings.HasPrefix(name, "form") && len(want) < 6 {
			t.Errorf("%s: found only %v to reach", name, want)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: the Tab key reaches\n%v, want\n%v", name, got, want)
		}
	}
}

// focused gives the page's query and the role of what has the focus. Autofocus
// takes place when the page is next drawn, which may be after it was loaded.
const focused = `(async () => {
	for (let frames = 0; frames < 600 && document.activeElement === document.body; frames++)
		await new Promise(drawn => requestAnimationFrame(drawn));
	return {search: location.search, focus: document.activeElement.getAttribute('role')};
})()`

func TestAFormIsSentByTheKeyboardAlone(t *testing.T) {
	m := newMemory(call.BagOn)
	s := httptest.NewServer(newPages(m))
	defer s.Close()
	b := openBrowser(t)
	b.size(390, 2)
	b.open(s.URL + formPath(claimOf(call.BagOn)))
	for _, id := range []string{"f-selfing.T1", "f-control.T1"} {
		for range 60 {
			var at string
			if b.eval(`document.activeElement.id`, &at); at == id {
				break
			}
			b.press("Tab")
		}
		b.typed("2")
	}
	b.press("Enter") // in a field: the form is sent
	b.loaded()
	var page struct{ Search, Focus string }
	b.eval(focused, &page)
	if page.Search != "?done=stored" || page.Focus != "status" || len(m.reports) != 1 || short(m.reports[0]) != "bags on T1 2+2 2031-05-03" {
		t.Errorf("after Enter: %+v, stored %v", page, m.reports)
	}
	problemsPage(b, s.URL+formPath(claimOf(call.BagOn)))
	b.eval(focused, &page)
	if page.Focus != "alert" || len(m.reports) != 1 {
		t.Errorf("with problems the focus is on %q, stored %v", page.Focus, m.reports)
	}
}

// A photo chosen in a browser comes in as the browser sends it.
func TestAPhotoIsSentByABrowser(t *testing.T) {
	m := newMemory(call.BagOn)
	s := httptest.NewServer(newPages(m))
	defer s.Close()
	photo := filepath.Join(t.TempDir(), "männy \"1\".jpg")
	if err := os.WriteFile(photo, photoOf(t, "jpeg", 3), 0o600); err != nil {
		t.Fatal(err)
	}
	b := openBrowser(t)
	b.open(s.URL + formPath(claimOf(call.BagOn)))
	var doc struct{ Root struct{ NodeID int } }
	b.call("DOM.getDocument", nil, &doc)
	var input struct{ NodeID int }
	b.call("DOM.querySelector", map[string]any{"nodeId": doc.Root.NodeID, "selector": "#f-photos"}, &input)
	b.call("DOM.setFileInputFiles", map[string]any{"nodeId": input.NodeID, "files": []string{photo}}, nil)
	b.eval(`document.querySelector('button').focus()`, nil)
	b.press("Enter")
	b.loaded()
	if len(m.photos) != 1 || strings.Contains(string(m.photos[0].Bytes), "PLACE") {
		t.Errorf("stored %d photos, want one without its place", len(m.photos))
	}
}

// checkerVersion is the accessibility checker that the pages are held to.
const checkerVersion = "axe-core@4.14.1"

// checker gives the source of the accessibility checker, fetched by npm once.
func checker(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Skip("there is no folder to keep the accessibility checker in: set HOME, then the pages are checked with it")
	}
	dir := filepath.Join(cache, "budcall-test")
	packed := filepath.Join(dir, strings.ReplaceAll(checkerVersion, "@", "-")+".tgz")
	if _, err := os.Stat(packed); err != nil {
		if _, err := exec.LookPath("npm"); err != nil {
			t.Skip("npm isn't installed: apt-get install npm, then the pages are checked for accessibility too")
		}
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
		defer cancel()
		cmd := exec.CommandContext(ctx, "npm", "pack", "--silent", checkerVersion)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Skipf("npm can't fetch %s, so the pages aren't checked for accessibility: %v\n%s", checkerVersion, err, out)
		}
	}
	source, err := unpacked(packed, "package/axe.min.js")
	if err != nil {
		t.Fatalf("reading %s: %v (delete it, then it is fetched anew)", packed, err)
	}
	return source
}

// unpacked gives one file out of a package.
func unpacked(path, name string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return "", err
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return "", fmt.Errorf("there is no %s in it", name)
		}
		if err != nil {
			return "", err
		}
		if h.Name == name {
			source, err := io.ReadAll(r)
			return string(source), err
		}
	}
}

const check = `axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}).then(r => ({
	passes: r.passes.length,
	wrong: r.violations.map(v => v.id + ': ' + v.help + ' ' + v.nodes.map(n => n.html).slice(0, 3).join(' ')),
}))`

func TestPagesKeepToWCAG(t *testing.T) {
	source := checker(t)
	b := openBrowser(t)
	b.size(390, 2)
	look := func(name string) {
		b.eval(`(() => { for (const e of document.querySelectorAll('details')) e.open = true; })()`, nil)
		b.eval(source+"\n;0", nil)
		var got struct {
			Passes int
			Wrong  []string
		}
		b.eval(check, &got)
		if got.Passes < 5 {
			t.Errorf("%s: only %d rules had something to look at", name, got.Passes)
		}
		for _, w := range got.Wrong {
			t.Errorf("%s: %s", name, w)
		}
	}
	pages := usedPages(t)
	for _, scheme := range []string{"light", "dark"} {
		b.call("Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
		for name, at := range pages {
			b.open(at)
			look(name + ", " + scheme)
		}
		problemsPage(b, pages["form: "+string(call.BagOn)])
		look("form with problems, " + scheme)
	}
	// The checker does find what is wrong.
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		io.WriteString(w, `<!DOCTYPE html><title>x</title><input><p style="color:#bbb;background:#fff">pale</p>`)
	}))
	defer s.Close()
	b.open(s.URL + "/?" + url.QueryEscape("wrong"))
	b.eval(source+"\n;0", nil)
	var got struct{ Wrong []string }
	if b.eval(check, &got); len(got.Wrong) < 2 {
		t.Errorf("on a page without labels and contrast only this is found wrong: %v", got.Wrong)
	}
}
