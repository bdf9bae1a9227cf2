package report_test

import (
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/report"
	"budcall/internal/trail"
)

func TestAPrefilledBodySentUntouchedSaysNothingOrExactlyItsOneWord(t *testing.T) {
	whole := map[call.Task]trail.Kind{call.SendKit: trail.KitArrived, call.ShortSeason: trail.Understood}
	for _, language := range report.Languages() {
		for _, task := range call.Tasks {
			body := report.Prefill(task, []string{"T1", "T2", "T3"}, language)
			r := replied(language, string(task), body)
			want, said := whole[task]
			switch {
			case len(r.Unread) > 0:
				t.Errorf("%s, %s: %q leaves %v unread", language, task, body, r.Unread)
			case said && (len(r.Reports) != 1 || r.Reports[0].Kind != want || r.Reports[0].Task != string(task)):
				t.Errorf("%s, %s: %q is %+v, not %s", language, task, body, r.Reports, want)
			case !said && len(r.Reports) > 0:
				t.Errorf("%s, %s: untouched, %q is %+v", language, task, body, r.Reports)
			}
		}
	}
}

func TestAPrefilledLineIsEndedByHand(t *testing.T) {
	for _, language := range report.Languages() {
		body := strings.Replace(report.Prefill(call.BagOn, []string{"T1", "T2"}, language), "T1 ", "T1 2+1", 1)
		if r := replied(language, "bag on", body); r.Outcome != report.Stored || len(r.Reports) != 1 || r.Reports[0].Tree != "T1" || r.Reports[0].Selfing != 2 {
			t.Errorf("%s: %q is %s, %+v", language, body, r.Outcome, r.Reports)
		}
	}
}

func TestPrefilledAnswersAreExactlyThat(t *testing.T) {
	for _, language := range report.Languages() {
		for day := civil.MustParse("2031-05-02"); day < civil.MustParse("2031-10-20"); day++ {
			r := replied(language, "bag on", report.PrefillGoing(day, language))
			if r.Outcome != report.Stored || len(r.Reports) != 1 || r.Reports[0].Kind != trail.Going || r.Reports[0].On != day {
				t.Fatalf("%s: %q is %s, %+v", language, report.PrefillGoing(day, language), r.Outcome, r.Reports)
			}
		}
		r := replied(language, "bag on", report.PrefillCannot(language))
		if r.Outcome != report.Stored || len(r.Reports) != 1 || r.Reports[0].Kind != trail.CannotGo {
			t.Errorf("%s: %q is %s, %+v", language, report.PrefillCannot(language), r.Outcome, r.Reports)
		}
	}
}

func TestExampleLinesAreReadableButOurOwnNeverCount(t *testing.T) {
	for _, language := range report.Languages() {
		for _, task := range call.Tasks {
			lines := report.Examples(task, "T3", language)
			if r := replied(language, string(task), "T1\n\n"+strings.Join(lines, "\n")+"\n\n"); len(r.Reports) > 0 || len(r.Unread) > 0 {
				t.Errorf("%s, %s: our own examples, unmarked, are %+v, unread %v", language, task, r.Reports, r.Unread)
			}
			for _, line := range lines[1:] {
				what, _, _ := strings.Cut(strings.TrimSpace(line), "   ")
				for _, end := range []string{" puussa", " puusta", " two ", " två ", " its ", " sen ", " dess "} {
					what, _, _ = strings.Cut(what, end)
				}
				if r := replied(language, string(task), what); r.Outcome != report.Stored {
					t.Errorf("%s, %s: the example %q is %s, unread %v", language, task, what, r.Outcome, r.Unread)
				}
			}
		}
	}
}

func TestATokenInASubjectIsFoundAgain(t *testing.T) {
	raw := "From: lead@forest.example\r\nDate: Fri, 02 May 2031 19:00:00 +0300\r\nSubject: " + report.Subject("Re: Kolmivaara [x]: bag on", "t-bag-on") + "\r\n\r\nT1 2+1\r\n"
	r := report.Read([]byte(raw), world("en"), options("2031-05-02T16:05:00Z"))
	if r.Token != "t-bag-on" || r.TokenIn != "subject" || r.Outcome != report.Stored {
		t.Errorf("%q in %q, %s", r.Token, r.TokenIn, r.Outcome)
	}
}
