package notice_test

import (
	"bytes"
	"fmt"
	"html"
	"image"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"budcall/internal/notice"
)

const (
	phoneWidth = 390 // CSS pixels, a common phone
	tapHeight  = 48  // CSS pixels that a thumb hits surely; our choice
)

// TestMailsOnAPhone lays every letter out at a phone's width: nothing may
// stick out sideways, and the link that answers must be big enough for a
// thumb. The pictures are for people to look at; they are kept in
// $BUDCALL_ARTEFACTS/notice.
func TestMailsOnAPhone(t *testing.T) {
	if _, err := exec.LookPath("chromium"); err != nil {
		t.Skip("chromium is missing: sh deploy/test.sh installs it")
	}
	all := allLetters()
	names := slices.Sorted(maps.Keys(all))
	sheet := filepath.Join(t.TempDir(), "sheet.html")
	if err := os.WriteFile(sheet, phones(all, names), 0o644); err != nil {
		t.Fatal(err)
	}
	dom := chromium(t, "--dump-dom", "file://"+sheet)
	_, measures, _ := strings.Cut(string(dom), `<pre>`)
	measures, _, _ = strings.Cut(measures, "</pre>")
	heights := map[string]int{}
	tallest := 0
	for _, line := range strings.Fields(measures) {
		var wide, high, tap int
		name, rest, _ := strings.Cut(line, ":")
		if _, err := fmt.Sscanf(rest, "%d,%d,%d", &wide, &high, &tap); err != nil {
			t.Fatalf("reading the measure %q: %v", line, err)
		}
		if wide > phoneWidth {
			t.Errorf("%s is %d px wide on a phone of %d px", name, wide, phoneWidth)
		}
		if links := bytes.Contains(notice.HTML(all[name]), []byte(`class="answer"`)); links != (tap > 0) || links && tap < tapHeight {
			t.Errorf("%s: the link that answers is %d px high, want at least %d", name, tap, tapHeight)
		}
		heights[name] = high
		tallest = max(tallest, high)
	}
	if len(heights) != len(names) {
		t.Fatalf("%d of %d letters were measured: %q", len(heights), len(names), measures)
	}
	picture := filepath.Join(t.TempDir(), "sheet.png")
	chromium(t, "--screenshot="+picture, fmt.Sprintf("--window-size=%d,%d", phoneWidth*len(names), tallest), "file://"+sheet)
	cutOut(t, picture, names, heights)
}

// phones is a page with every letter in a frame of a phone's width, side by
// side, which measures them: a browser's window itself can't be that narrow.
func phones(all map[string]notice.Letter, names []string) []byte {
	var b strings.Builder
	b.WriteString(`<!DOCTYPE html><meta charset="utf-8"><body style="margin:0;display:flex;align-items:flex-start">`)
	for _, name := range names {
		fmt.Fprintf(&b, `<iframe id="%s" style="border:0;flex:none;width:%dpx;height:100px" srcdoc="%s"></iframe>`,
			name, phoneWidth, html.EscapeString(string(notice.HTML(all[name]))))
	}
	b.WriteString(`<pre></pre><script>onload = () => { for (const f of document.querySelectorAll("iframe")) {
		const d = f.contentDocument, a = d.querySelector(".answer a");
		document.querySelector("pre").textContent += f.id + ":" + d.documentElement.scrollWidth + "," +
			d.documentElement.scrollHeight + "," + (a ? Math.round(a.getBoundingClientRect().height) : 0) + "\n";
		f.style.height = d.documentElement.scrollHeight + "px" } }</script>`)
	return []byte(b.String())
}

func chromium(t *testing.T, args ...string) []byte {
	t.Helper()
	flags := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars",
		"--user-data-dir=" + t.TempDir()}
	cmd := exec.CommandContext(t.Context(), "chromium", append(flags, args...)...)
	var failed bytes.Buffer
	cmd.Stderr = &failed
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("chromium %v: %v\n%s", args, err, failed.String())
	}
	return out
}

// cutOut keeps one picture a letter, and refuses a blank one.
func cutOut(t *testing.T, picture string, names []string, heights map[string]int) {
	t.Helper()
	dir := t.TempDir()
	if kept := os.Getenv("BUDCALL_ARTEFACTS"); kept != "" {
		dir = filepath.Join(kept, "notice")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	for n, name := range names {
		one := image.NewRGBA(image.Rect(0, 0, phoneWidth, heights[name]))
		draw.Draw(one, one.Bounds(), sheet, image.Pt(n*phoneWidth, 0), draw.Src)
		if blank(one) {
			t.Errorf("the picture of %s is blank", name)
		}
		var out bytes.Buffer
		if err := png.Encode(&out, one); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".png"), out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// blank tells whether every pixel has the colour of the first.
func blank(p *image.RGBA) bool {
	for n := 0; n < len(p.Pix); n += 4 {
		if !bytes.Equal(p.Pix[n:n+4], p.Pix[:4]) {
			return false
		}
	}
	return true
}
