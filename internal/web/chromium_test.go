package web_test

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
)

// chromium runs a browser without a window once, in an empty profile.
func chromium(t *testing.T, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium isn't installed: apt-get install chromium, then the pages are looked at too")
	}
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, path, append([]string{
		"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--hide-scrollbars", "--user-data-dir=" + t.TempDir(),
	}, args...)...)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("chromium %v: %v", args, err)
	}
	return out
}

// artefacts gives the folder that pictures are kept in.
func artefacts(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("BUDCALL_ARTEFACTS")
	if dir == "" {
		return t.TempDir()
	}
	dir = filepath.Join(dir, "web")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// framePage shows a page in a frame of a given width, since the browser's own
// window is never narrower than 500 px.
const framePage = `<!DOCTYPE html><body style="margin:0"><iframe src="/%s" style="border:0;width:%dpx;height:%dpx"></iframe>`

// measurePage frames all pages and writes down of each how wide it is and the
// smallest height of what can be touched.
const measurePage = `<!DOCTYPE html><body>%s<pre></pre><script>
onload = () => {
  for (const f of document.querySelectorAll('iframe')) {
    const d = f.contentDocument;
    for (const e of d.querySelectorAll('details')) e.open = true;
    const touch = [...d.querySelectorAll('label,button,summary,input[type=date],input.count')].filter(e => !e.matches('.unseen, .pair label, .when label'));
    const least = Math.min(99, ...touch.map(e => e.getBoundingClientRect().height));
    const styled = getComputedStyle(d.body).marginTop === '0px';
    document.querySelector('pre').textContent += ['page', f.getAttribute('src'), f.clientWidth, d.documentElement.scrollWidth, least, styled].join(' ') + '\n';
  }
};
</script>`

// serve gives the pages at their names with the headers they really have, but
// for the one that forbids frames.
func serve(t *testing.T, pages map[string]string) *httptest.Server {
	policy := get(t, newPages(newMemory(call.BagOn)), "/nowhere").Header().Get("Content-Security-Policy")
	mux := http.NewServeMux()
	mux.HandleFunc("/frame/{name}/{width}/{height}", func(w http.ResponseWriter, r *http.Request) {
		width, _ := strconv.Atoi(r.PathValue("width"))
		height, _ := strconv.Atoi(r.PathValue("height"))
		fmt.Fprintf(w, framePage, r.PathValue("name"), width, height)
	})
	mux.HandleFunc("/measure", func(w http.ResponseWriter, _ *http.Request) {
		var frames strings.Builder
		for _, name := range slices.Sorted(maps.Keys(pages)) {
			for _, width := range widths {
				fmt.Fprintf(&frames, `<iframe src="/%s" style="border:0;width:%dpx;height:900px"></iframe>`, name, width)
			}
		}
		fmt.Fprintf(w, measurePage, frames.String())
	})
	mux.HandleFunc("/{name}", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Security-Policy", strings.Replace(policy, "frame-ancestors 'none'", "", 1))
		fmt.Fprint(w, pages[r.PathValue("name")])
	})
	s := httptest.NewServer(mux)
	t.Cleanup(s.Close)
	return s
}

// widths are those of a phone and of a desk, in px.
var widths = []int{390, 1280}

func TestPagesFitAPhoneAndADesk(t *testing.T) { fits(t, examplePages(t)) }

// fits measures pages in windows of all widths.
func fits(t *testing.T, pages map[string]string) {
	t.Helper()
	served := serve(t, pages)
	dom := chromium(t, "--window-size=1400,900", "--dump-dom", served.URL+"/measure")
	lines := regexp.MustCompile(`(?m)page (/\S+) (\d+) (\d+) ([\d.]+) (true|false)$`).FindAllStringSubmatch(string(dom), -1)
	if len(lines) != len(pages)*len(widths) {
		t.Fatalf("%d pages were measured, want %d", len(lines), len(pages)*len(widths))
	}
	for _, m := range lines {
		window, _ := strconv.Atoi(m[2])
		page, _ := strconv.Atoi(m[3])
		least, _ := strconv.ParseFloat(m[4], 64)
		if page > window {
			t.Errorf("%s is %d px wide in a window of %d", m[1], page, window)
		}
		if least < 44 { // WCAG 2.2, 2.5.5 Target Size (Enhanced): 44 px (from memory)
			t.Errorf("%s at %d px: something to touch is only %v px high", m[1], window, least)
		}
		if m[5] != "true" {
			t.Errorf("%s: the policy keeps the page from its style", m[1])
		}
	}
}

func TestPicturesOfThePagesAreKept(t *testing.T) {
	dir := artefacts(t)
	served := serve(t, examplePages(t))
	for name, heights := range map[string][2]int{
		"board": {4100, 2200}, "form-bag-on": {2350, 2250}, "form-bag-on-problems": {3000, 2600}, "form-pick-seed": {1900, 1800},
	} {
		for i, width := range widths {
			picture := filepath.Join(dir, fmt.Sprintf("%s-%d.png", name, width))
			chromium(t, fmt.Sprintf("--window-size=%d,%d", width, heights[i]), "--screenshot="+picture,
				fmt.Sprintf("%s/frame/%s/%d/%d", served.URL, name, width, heights[i]))
			if info, err := os.Stat(picture); err != nil || info.Size() < 5000 {
				t.Errorf("%s: no picture: %v %v", name, info, err)
			}
		}
	}
}
