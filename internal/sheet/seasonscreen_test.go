package sheet_test

import (
	"context"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// The page of a season sticks out of no phone and no desk, and has no table
// that does; a picture of each is kept in $BUDCALL_ARTEFACTS/season.
func TestASeasonFitsAPhoneAndADesk(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium isn't installed: sh deploy/test.sh installs it, then the page is looked at too")
	}
	dir := t.TempDir()
	if kept := os.Getenv("BUDCALL_ARTEFACTS"); kept != "" {
		dir = filepath.Join(kept, "season")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	page := html.EscapeString(string(exampleSeason().Page()))
	for _, width := range []int{390, 1280} {
		frame := filepath.Join(t.TempDir(), "frame.html")
		body := fmt.Sprintf(`<!DOCTYPE html><body style="margin:0"><iframe style="border:0;width:%dpx;height:2600px" srcdoc="%s"></iframe><pre></pre><script>
			onload = () => { const d = document.querySelector("iframe").contentDocument;
			const wide = [...d.querySelectorAll(".wide")].filter(e => e.scrollWidth > e.clientWidth).length;
			document.querySelector("pre").textContent = "page " + d.documentElement.scrollWidth + " " + wide + " " + d.querySelectorAll("td").length }</script>`, width, page)
		if err := os.WriteFile(frame, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
		run := func(args ...string) string {
			ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
			defer cancel()
			out, err := exec.CommandContext(ctx, browser, append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
				"--disable-background-networking", "--user-data-dir=" + t.TempDir()}, append(args, "file://"+frame)...)...).Output()
			if err != nil {
				t.Fatalf("chromium %v: %v", args, err)
			}
			return string(out)
		}
		m := regexp.MustCompile(`page (\d+) (\d+) (\d+)<`).FindStringSubmatch(run("--dump-dom"))
		if m == nil {
			t.Fatal("nothing was measured")
		}
		if m[1] != fmt.Sprint(width) || m[2] != "0" || strings.HasPrefix(m[3], "0") {
			t.Errorf("at %d px the page is %s px wide, and %s of its tables stick out; %s cells", width, m[1], m[2], m[3])
		}
		picture := filepath.Join(dir, fmt.Sprintf("season-%d.png", width))
		run("--screenshot="+picture, fmt.Sprintf("--window-size=%d,2600", max(width, 500)))
		if info, err := os.Stat(picture); err != nil || info.Size() < 20_000 {
			t.Errorf("the picture at %d px is missing or blank: %v", width, err)
		}
	}
}
