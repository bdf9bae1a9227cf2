package report_test

import (
	"fmt"
	"strings"
	"testing"

	"budcall/internal/report"
	"budcall/internal/trail"
)

// The mail is written on Friday 2 May 2031.
func TestLinesInAnswerToACall(t *testing.T) {
	for _, c := range []struct {
		says, language, task, line, want string
		why                              report.Why
	}{
		{"a weekday with its date", "en", "bag on", "going sat 3 May", "going 2031-05-03", ""},
		{"a weekday that isn't that date", "en", "bag on", "going sun 3 May", "", report.UnclearDay},
		{"the month before the day, in English", "en", "bag on", "going May 4", "going 2031-05-04", ""},
		{"an ordinal", "en", "bag on", "going on the 4th May", "going 2031-05-04", ""},
		{"an ISO day", "fi", "bag on", "menen 2031-05-04", "going 2031-05-04", ""},
		{"a day and month with a stroke are clear in Swedish", "sv", "bag on", "åker 5/6", "going 2031-06-05", ""},
		{"one of them can only be a day", "en", "bag on", "going 5/26", "going 2031-05-26", ""},
		{"a day without a month names no day", "en", "bag on", "going 4", "", report.NoDay},
		{"the 30th of February", "en", "bag on", "going 30 Feb 2032", "", report.BadDay},
		{"away until a day begins today", "en", "bag on", "away until 9 May", "away 2031-05-02..2031-05-09", ""},
		{"away on a run of weekdays", "en", "bag on", "away sat - mon", "away 2031-05-03..2031-05-05", ""},
		{"away in Finnish figures", "fi", "bag on", "poissa 3.–9.5.", "away 2031-05-03..2031-05-09", ""},
		{"away the wrong way round", "en", "bag on", "away 9 May - 3 May", "", report.UnclearDay},
		{"away in the past", "en", "bag on", "away 1 April - 9 April", "", report.PastDay},
		{"away with no day", "en", "bag on", "away", "", report.NoDay},
		{"yesterday's work", "en", "bag on", "T1 2+1 yesterday", "T1 bags on 2+1 on 2031-05-01", ""},
		{"a weekday of work is the last one", "en", "bag on", "wed T1 2+1", "T1 bags on 2+1 on 2031-04-30", ""},
		{"work of a day to come", "en", "bag on", "T1 2+1 tomorrow", "", report.FutureDay},
		{"a dash between tree and word", "en", "take off", "T1 - off", "T1 bags off", ""},
		{"a dash glued to a count could be a minus", "en", "bag on", "T1 -2+1", "", report.NotUnderstood},
		{"a run by its last number", "en", "bag on", "T1-3 2+1", "T1 bags on 2+1; T2 bags on 2+1; T3 bags on 2+1", ""},
		{"a run downwards", "en", "bag on", "T3-T1 2+1", "", report.UnclearTree},
		{"thirteen bags on a tree", "en", "bag on", "T1 13+1", "", report.BadCount},
		{"a superscript is no figure", "en", "bag on", "T1 1²+1", "", report.NotUnderstood},
		{"packets in answer to pick seed", "en", "pick seed", "T1 2+1", "T1 picked 2+1", ""},
		{"packets that reached the laboratory", "en", "lot expected", "T1 2+1", "T1 lot received 2+1", ""},
		{"all packets of a tree", "en", "lot expected", "T1 all arrived", "T1 lot received 0+0", ""},
		{"all packets of the site", "sv", "lot expected", "Alla har kommit.", "lot received 0+0", ""},
		{"all packets, in Finnish", "fi", "lot expected", "kaikki saapuneet", "lot received 0+0", ""},
		{"something arrived, in answer to bag on", "en", "bag on", "arrived", "", report.NotThisCall},
		{"bud break as our own mails name it", "fi", "look at buds", "T2 silmujen puhkeaminen", "T2 green tip", ""},
		{"the same in Swedish", "sv", "look at buds", "T2 knoppsprickning", "T2 green tip", ""},
		{"and in English", "en", "look at buds", "T2 bud swelling", "T2 buds swollen", ""},
		{"a count in answer to a survey", "en", "survey trees", "T1 2+1", "", report.NotThisCall},
		{"fine, of nothing, is courtesy at best", "en", "check bags", "fine", "", report.NotUnderstood},
		{"green in answer to bag on may be buds", "en", "bag on", "T1 green", "", report.NotThisCall},
		{"seen, but only the coordinator was asked to see", "en", "bag on", "seen", "", report.NotThisCall},
		{"a bullet before the line", "en", "bag on", "- T1 2+1", "T1 bags on 2+1", ""},
		{"a correction in the line", "en", "bag on", "Correction: T1 2+1", "T1 bags on 2+1", ""},
		{"two things in one line, one of them wrong", "en", "bag on", "T1 2+1, T9 2+1", "", report.UnknownTree},
		{"can't, of one tree, says something else", "en", "bag on", "T1 can't", "", report.NotUnderstood},
		{"the site's code before the tree", "en", "bag on", "KOL T1: 2+1", "T1 bags on 2+1", ""},
		{"the tree's code in the programme", "en", "bag on", "kol-101 2+1", "T1 bags on 2+1", ""},
		{"a greeting with a reply in it isn't dropped in silence", "en", "bag on", "Hi Liis, T1 2+1", "", report.NotUnderstood},
		{"thanks with a word that counts aren't either", "en", "take off", "Thanks, Off", "", report.NotUnderstood},
	} {
		r := replied(c.language, c.task, c.line)
		var said []string
		for _, rep := range r.Reports {
			said = append(said, inWords(rep, "KOL", r.Written))
		}
		got, why := strings.Join(said, "; "), report.Why("")
		if len(r.Unread) > 0 {
			why = r.Unread[0].Why
		}
		if got != c.want || why != c.why {
			t.Errorf("%s: %q is %q (%s), not %q (%s)", c.says, c.line, got, why, c.want, c.why)
		}
	}
}

func TestABagReportedOnMayBeReportedOffInAnswerToAnyMail(t *testing.T) {
	k := world("en")
	site := k.Site
	k.Site = func(code string) (report.Site, bool) {
		s, ok := site(code)
		s.Bagged = map[string]bool{"T1": true}
		return s, ok
	}
	raw := "From: lead@forest.example\nIn-Reply-To: <t-bag-on@x>\n\nT1 off\nT2 off\n"
	r := report.Read([]byte(raw), k, options("2031-05-02T16:05:00Z"))
	if len(r.Reports) != 1 || r.Reports[0].Tree != "T1" || r.Reports[0].Kind != trail.BagsOff || len(r.Unread) != 1 {
		t.Errorf("%+v, unread %v", r.Reports, r.Unread)
	}
}

func TestPartsOfOneMailWithSeveralTasks(t *testing.T) {
	k := world("en")
	mail := k.Mail
	k.Mail = func(token string) (report.Mail, bool) {
		m, ok := mail(token)
		m.Calls = []report.Call{{Site: "KOL", Task: "bag on"}, {Site: "KOL", Task: "take off"}}
		return m, ok
	}
	raw := "From: lead@forest.example\nIn-Reply-To: <t-x@x>\n\nT1 off\nT2 2+1\n"
	r := report.Read([]byte(raw), k, options("2031-05-02T16:05:00Z"))
	if len(r.Reports) != 1 || r.Reports[0].Task != "take off" || len(r.Unread) != 1 || r.Unread[0].Why != report.NotThisCall {
		t.Errorf("%+v, unread %v: a count might be put on or left on", r.Reports, r.Unread)
	}
}

func ExampleRead() {
	raw := "From: lead@forest.example\nIn-Reply-To: <t-bag-on@mail.example>\nDate: Fri, 02 May 2031 19:00:00 +0300\n\nT1 2+1\nall went well\n"
	r := report.Read([]byte(raw), world("en"), options("2031-05-02T16:05:00Z"))
	fmt.Println(r.Outcome, r.Reports[0].Tree, r.Reports[0].Kind, r.Reports[0].Selfing, r.Reports[0].Control, r.Unread)
	// Output: part stored T1 bags on 2 1 [{all went well not understood}]
}
