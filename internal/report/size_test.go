package report_test

import (
	"bytes"
	"encoding/base64"
	"runtime"
	"strings"
	"testing"
	"time"

	"budcall/internal/report"
)

// shapes are mails made to take much for little; each fills about n bytes,
// those of the header an eighth.
var shapes = map[string]func(n int) string{
	"lines that count":   func(n int) string { return plain(strings.Repeat("T1 2+1\n", n/7)) },
	"ranges in one line": func(n int) string { return plain(strings.Repeat("T1-T4,", n/6) + " 2+1\n") },
	"soft-broken lines": func(n int) string {
		return "Content-Type: text/plain; format=flowed\n" + plain(strings.Repeat("T1 2+1 \n", n/8))
	},
	"headings":                func(n int) string { return plain(strings.Repeat("From: x\n", n/8)) },
	"attributions and blanks": func(n int) string { return plain(strings.Repeat("2031 a@b:\n\n\n\n", n/13)) },
	"open tags":               func(n int) string { return page(strings.Repeat("<a b=\"", n/6)) },
	"open brackets":           func(n int) string { return page(strings.Repeat("<", n)) },
	"quotes in quotes":        func(n int) string { return page(strings.Repeat("<blockquote>x", n/13)) },
	"hidden in hidden":        func(n int) string { return page(strings.Repeat("<div hidden>", n/12)) },
	"entities":                func(n int) string { return page(strings.Repeat("&acE;", n/5)) },
	"folded header":           func(n int) string { return "X-A: b\n" + strings.Repeat(" c\n", n/8/3) + plain("T1 2+1\n") },
	"references":              func(n int) string { return "References: " + strings.Repeat("<a@b>", n/8/5) + "\n" + plain("T1 2+1\n") },
	"encoded words": func(n int) string {
		return "Subject: " + strings.Repeat("=?utf-8?q?a?= ", n/8/14) + "\n" + plain("T1 2+1\n")
	},
	"parts": func(n int) string {
		return "Content-Type: multipart/mixed; boundary=b\n" + sender + strings.Repeat("--b\n\nT1 2+1\n", n/13)
	},
	"soft line ends": func(n int) string {
		return "Content-Transfer-Encoding: quoted-printable\n" + plain(strings.Repeat("=\n", n/2))
	},
	"a long photo": func(n int) string {
		picture := append([]byte("\xff\xd8\xff\xda\x00\x02"), bytes.Repeat([]byte{0xff, 0}, n*3/8)...)
		return "Content-Type: image/jpeg\nContent-Transfer-Encoding: base64\n" + sender + base64.StdEncoding.EncodeToString(append(picture, 0xff, 0xd9))
	},
	"marks of a JPEG": func(n int) string {
		return "Content-Type: image/jpeg\nContent-Transfer-Encoding: base64\n" + sender +
			base64.StdEncoding.EncodeToString(append([]byte("\xff\xd8\xff"), bytes.Repeat([]byte{0xff}, n*3/4)...))
	},
}

const sender = "From: lead@forest.example\nIn-Reply-To: <t-bag-on@x>\n\n"

func plain(text string) string { return sender + text }

func page(text string) string { return "Content-Type: text/html\n" + sender + text }

// A mail may take ten times its size in memory, and time in proportion to it.
// All that is
// allocated bounds what is held at once. The time limit is far above what is
// measured, and below what a quadratic step would take.
func TestNoMailTakesMoreThanItsShare(t *testing.T) {
	const n = 1<<20 - 4096 // just below the most text that is read
	for name, shape := range shapes {
		raw := []byte(shape(n))
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		r := report.Read(raw, world("en"), options("2031-05-02T16:05:00Z"))
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		used := float64(after.TotalAlloc-before.TotalAlloc) / float64(len(raw))
		t.Logf("%-24s %s, %s, %.1f times its size allocated in all", name, r.Outcome, took.Round(time.Millisecond), used)
		if took > 10*time.Second {
			t.Errorf("%s: %s for %d bytes", name, took, len(raw))
		}
		if used > 10 && !withRaceDetector {
			t.Errorf("%s: %.1f times its size allocated", name, used)
		}
	}
}
