package report_test

import (
	"bytes"
	"fmt"
	"html"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/report"
)

// sayings are lines that count, in each language, in answer to "take off".
var sayings = map[string][]string{
	"en": {"T1 off", "T2 off, T3 off", "all off", "going sat", "can't", "unsafe", "T4 torn", "away 3 May - 9 May"},
	"fi": {"T1 pois", "kaikki pois", "menen la", "en pääse", "vaarallista", "T4 rikki", "poissa 3.5.-9.5."},
	"sv": {"T1 av", "alla av", "åker lör", "kan inte", "farligt", "T4 trasig", "borta 3–9 maj"},
}

// below are the ways in which mail programs put an old mail below a new one;
// %s is the old text.
var below = []func(old string) string{
	func(old string) string {
		return "On Fri, 2 May 2031 at 17:00, Northern Birch Selfing <calls@birch.example> wrote:\n" + mark(old)
	},
	func(old string) string {
		return "On Fri, 2 May 2031 at 17:00, Northern Birch Selfing\n<calls@birch.example> wrote:\n\n" + mark(old)
	},
	func(old string) string {
		return "On Fri, 2 May 2031 at 17:00, N. B. <calls@birch.example> wrote:\n\n" + old
	},
	func(old string) string {
		return "ke 30.4.2031 klo 17.00 N. B. (calls@birch.example) kirjoitti:\n" + old
	},
	func(old string) string {
		return "Den ons 23 april 2031 kl 17:00 skrev N. B. <calls@birch.example>:\n" + old
	},
	func(old string) string {
		return "Le ven. 2 mai 2031 à 17:00, N. B. <calls@birch.example> a écrit :\n\n" + mark(old)
	},
	func(old string) string { return "-----Original Message-----\n" + old },
	func(old string) string { return "-----Alkuperäinen viesti-----\n" + old },
	func(old string) string { return "---------- Forwarded message ----------\n" + old },
	func(old string) string {
		return "________________________________\nFrom: N. B. <calls@birch.example>\nSent: Friday\nTo: x\nSubject: y\n\n" + old
	},
	func(old string) string {
		return "Lähettäjä: N. B.\nLähetetty: pe 2.5.2031\nVastaanottaja: x\nAihe: y\n" + old
	},
	func(old string) string {
		return "*Från:* N. B.\n*Skickat:* den 2 maj\n*Till:* x\n*Ämne:* y\n\n" + old
	},
	func(old string) string { return "Von: N. B.\nGesendet: 2. Mai\nAn: x\nBetreff: y\n\n" + old },
	func(old string) string { return "-- \n" + old },
	func(old string) string { return "##- Please type your reply above this line -##\n" + old },
	mark,
}

func mark(text string) string {
	return "> " + strings.ReplaceAll(text, "\n", "\n> ")
}

func TestWhatOthersWroteNeverCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		language := rapid.SampledFrom(report.Languages()).Draw(t, "language")
		line := rapid.OneOf(rapid.SampledFrom(sayings[language]), rapid.SampledFrom([]string{"", "We walked all day.", "Iina"}))
		own := strings.Join(rapid.SliceOfN(line, 0, 4).Draw(t, "own"), "\n")
		old := strings.Join(rapid.SliceOfN(line, 1, 6).Draw(t, "old"), "\n")
		form := rapid.SampledFrom(below).Draw(t, "form")
		want := replied(language, "take off", own)
		got := replied(language, "take off", own+"\n\n"+form(old))
		if !reflect.DeepEqual(got.Reports, want.Reports) || !reflect.DeepEqual(got.Unread, want.Unread) {
			t.Fatalf("with the old mail below: %+v, unread %v\nwithout: %+v, unread %v", got.Reports, got.Unread, want.Reports, want.Unread)
		}
	})
}

func TestTheSameInHTML(t *testing.T) {
	page := func(text string) string {
		return "<div>" + strings.ReplaceAll(html.EscapeString(text), "\n", "</div><div>") + "</div>"
	}
	rapid.Check(t, func(t *rapid.T) {
		language := rapid.SampledFrom(report.Languages()).Draw(t, "language")
		line := rapid.SampledFrom(append([]string{""}, sayings[language]...))
		own := strings.Join(rapid.SliceOfN(line, 0, 4).Draw(t, "own"), "\n")
		old := strings.Join(rapid.SliceOfN(line, 1, 6).Draw(t, "old"), "\n")
		body := "<html><head><title>T1 2+1</title></head><body>" + page(own) + rapid.SampledFrom([]string{
			"<blockquote>" + page(old) + "</blockquote>",
			"<div style='display: none'>" + page(old) + "</div>",
			"<div hidden>" + page(old) + "</div>",
			"<!-- " + old + " --><script>" + old + "</script>",
			"<hr><p><b>From:</b> N. B.<br><b>Sent:</b> Friday<br><b>To:</b> x<br><b>Subject:</b> y</p>" + page(old),
		}).Draw(t, "form") + "</body></html>"
		raw := "From: lead@forest.example\nDate: Fri, 02 May 2031 19:00:00 +0300\nIn-Reply-To: <t-take-off@x>\nContent-Type: text/html; charset=utf-8\n\n" + body
		got := report.Read([]byte(raw), world(language), options("2031-05-02T16:05:00Z"))
		want := replied(language, "take off", own)
		if !reflect.DeepEqual(got.Reports, want.Reports) {
			t.Fatalf("in HTML: %+v\nin plain text: %+v", got.Reports, want.Reports)
		}
	})
}

func TestAnAnswerBetweenQuotedLinesCounts(t *testing.T) {
	r := replied("en", "take off", "On Fri, 2 May 2031 at 17:00, N. B. <calls@birch.example> wrote:\n> T1\nT2 off\n> T3 off\nT4 off\n")
	if len(r.Reports) != 2 || r.Reports[0].Tree != "T2" || r.Reports[1].Tree != "T4" {
		t.Errorf("%+v, unread %v", r.Reports, r.Unread)
	}
}

func TestASentenceBrokenByTheMailProgramIsOneLine(t *testing.T) {
	raw := "From: lead@forest.example\nIn-Reply-To: <t-bag-on@x>\nContent-Type: text/plain; format=flowed\n\nI thought of doing \nT3 2+1 \nbut it rained.\nT1 2+1 \nT2 2+1\n"
	r := report.Read([]byte(raw), world("en"), options("2031-05-02T16:05:00Z"))
	if len(r.Reports) != 2 || len(r.Unread) != 1 || r.Unread[0].Text != "I thought of doing T3 2+1 but it rained." {
		t.Errorf("%+v, unread %v", r.Reports, r.Unread)
	}
}

func FuzzRead(f *testing.F) {
	for _, row := range rows(f, "expected.csv") {
		row["grow"] = ""
		f.Add(grown(f, row))
	}
	k := known(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		r := report.Read(raw, k, options("2031-05-03T12:00:00Z"))
		if r.Outcome == "" {
			t.Error("a mail without an outcome")
		}
		for _, l := range r.Unread {
			if len([]rune(l.Text)) > 301 || strings.ContainsAny(l.Text, "\x00\x1b\n\r\b") {
				t.Errorf("%q is no line to quote back", l.Text)
			}
		}
		for _, rep := range r.Reports {
			if rep.Site == "" || rep.Day.IsZero() || rep.Selfing < 0 || rep.Selfing > 12 || rep.Control < 0 || rep.Control > 12 {
				t.Errorf("%+v is no report", rep)
			}
		}
		again := report.Read(bytes.Clone(raw), k, options("2031-05-03T12:00:00Z"))
		if fmt.Sprint(again) != fmt.Sprint(r) {
			t.Error("read twice it isn't the same")
		}
	})
}
