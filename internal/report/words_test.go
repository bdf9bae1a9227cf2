package report_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/report"
	"budcall/internal/trail"
)

// world is one site with trees T1 to T4 and a mail to its lead for each task,
// token "t" and the task with dashes.
func world(language string) report.Known {
	lead := report.Person{Code: "lead", Name: "Iina Keksitty", Language: language, Zone: time.FixedZone("", 3*3600), Sites: []string{"KOL"}}
	return report.Known{
		Mail: func(token string) (report.Mail, bool) {
			task, ok := strings.CutPrefix(token, "t-")
			return report.Mail{To: lead, Sent: time.Date(2031, 5, 2, 14, 0, 0, 0, time.UTC),
				Calls: []report.Call{{Site: "KOL", Task: call.Task(strings.ReplaceAll(task, "-", " "))}}}, ok
		},
		Person: func(address string) (report.Person, bool) { return lead, address == "lead@forest.example" },
		Site: func(code string) (report.Site, bool) {
			return report.Site{Code: "KOL", Trees: []trail.Tree{{Short: "T1", Code: "KOL-101"}, {Short: "T2"}, {Short: "T3"}, {Short: "T4"}}}, code == "KOL"
		},
	}
}

// replied reads a body sent in answer to a task on Friday 2 May 2031.
func replied(language, task, body string) report.Reading {
	raw := "From: Iina Keksitty <lead@forest.example>\r\nDate: Fri, 02 May 2031 19:00:00 +0300\r\nIn-Reply-To: <t-" +
		strings.ReplaceAll(task, " ", "-") + "@mail.example>\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n" + strings.ReplaceAll(body, "\n", "\r\n")
	return report.Read([]byte(raw), world(language), report.Options{Received: time.Date(2031, 5, 2, 16, 5, 0, 0, time.UTC)})
}

// kindOf gives the kind and, of stages, the BBCH code that a meaning of
// words.csv stands for; a task in answer to which it can be meant; and whether
// it is said of a tree.
func kindOf(meaning string) (kind trail.Kind, bbch int, task string, tree bool, ok bool) {
	switch meaning {
	case "going DAY":
		return trail.Going, 0, "bag on", false, true
	case "away DAYS":
		return trail.Away, 0, "bag on", false, true
	case "can't", "unsafe", "no permission", "kit arrived":
		return trail.Kind(meaning), 0, "bag on", false, true
	case "understood":
		return trail.Understood, 0, "short season", false, true
	case "all bags off":
		return trail.BagsOff, 0, "take off", false, true
	case "bags off":
		return trail.BagsOff, 0, "take off", true, true
	case "bags fine", "bags torn":
		return trail.Kind(meaning), 0, "check bags", true, true
	case "seed brown", "seed green":
		return trail.Kind(meaning), 0, "look at seed", true, true
	case "nothing to pick":
		return trail.NothingToPick, 0, "pick seed", true, true
	case "catkins seen", "no catkins":
		return trail.Kind(meaning), 0, "survey trees", true, true
	case "buds closed":
		return trail.NotYet, 1, "look at buds", true, true
	case "buds swollen":
		return trail.StageSeen, 1, "look at buds", true, true
	case "green tip":
		return trail.StageSeen, 7, "look at buds", true, true
	}
	return "", 0, "", false, false
}

func TestEveryWordOfTheTableIsReadAsItSays(t *testing.T) {
	said := 0
	for _, row := range rows(t, "words.csv") {
		kind, bbch, task, tree, ok := kindOf(row["meaning"])
		if !ok {
			continue
		}
		said++
		line := row["word"]
		switch {
		case kind == trail.Going:
			line += " 4.5.2031"
		case kind == trail.Away:
			line += " 4.5.2031 - 6.5.2031"
		case tree:
			line = "T2 " + line
		}
		for _, text := range []string{line, strings.ToUpper(line), strings.ToUpper(line[:1]) + line[1:] + "."} {
			if line[0] >= 0x80 && text != line { // upper case by bytes would cut a letter
				continue
			}
			r := replied(row["language"], task, text)
			if len(r.Reports) != 1 || r.Reports[0].Kind != kind || r.Reports[0].BBCH != bbch || (r.Reports[0].Tree == "T2") != tree || len(r.Unread) > 0 {
				t.Errorf("%s: %q in answer to %q is %+v, unread %v; not %s", row["language"], text, task, r.Reports, r.Unread, row["meaning"])
			}
		}
	}
	if said < 90 {
		t.Errorf("only %d words of the table say something", said)
	}
}

func TestEveryDayAndMonthOfTheTable(t *testing.T) {
	days := map[string]int{"Sunday": 4, "Monday": 5, "Tuesday": 6, "Wednesday": 7, "Thursday": 8, "Friday": 2, "Saturday": 3, "today": 2, "tomorrow": 3}
	going := map[string]string{"en": "going", "fi": "menen", "sv": "åker"}
	for _, row := range rows(t, "words.csv") {
		want, line := "", ""
		if name, ok := strings.CutPrefix(row["meaning"], "day: "); ok && name != "yesterday" {
			want, line = fmt.Sprintf("2031-05-%02d", days[name]), going[row["language"]]+" "+row["word"]
		}
		var month int
		if n, _ := fmt.Sscanf(row["meaning"], "month %d", &month); n == 1 {
			year := 2031
			if month < 5 {
				year = 2032
			}
			want, line = fmt.Sprintf("%d-%02d-11", year, month), fmt.Sprintf("%s 11 %s %d", going[row["language"]], row["word"], year)
		}
		if want == "" {
			continue
		}
		r := replied(row["language"], "bag on", line)
		if len(r.Reports) != 1 || r.Reports[0].On.String() != want {
			t.Errorf("%s: %q is %+v, unread %v; not %s", row["language"], line, r.Reports, r.Unread, want)
		}
	}
}

func TestAWordThatTurnsTheMeaningLeavesTheLineUnread(t *testing.T) {
	lines := map[string][]string{
		"en": {"T1 2+1", "going sat", "T2 brown"}, "fi": {"T1 2+1", "menen la", "T2 ruskea"}, "sv": {"T1 2+1", "åker lör", "T2 brun"},
	}
	tried := 0
	for _, row := range rows(t, "words.csv") {
		if !strings.HasPrefix(row["meaning"], "turns") {
			continue
		}
		for _, line := range lines[row["language"]] {
			head, rest, _ := strings.Cut(line, " ")
			for _, turned := range []string{row["word"] + " " + line, head + " " + row["word"] + " " + rest, line + " " + row["word"]} {
				tried++
				if r := replied(row["language"], "bag on", turned); len(r.Reports) > 0 || len(r.Unread) != 1 {
					t.Errorf("%s: %q counts as %+v", row["language"], turned, r.Reports)
				}
			}
		}
	}
	if tried < 100 {
		t.Errorf("only %d lines tried", tried)
	}
}

func TestGreetingsAndThanksAreNoLines(t *testing.T) {
	for _, row := range rows(t, "words.csv") {
		if !strings.Contains(row["meaning"], "no line") {
			continue
		}
		for _, line := range []string{row["word"], strings.ToUpper(row["word"]) + "!", row["word"] + " Iina"} {
			if strings.HasPrefix(row["meaning"], "signature") && line != row["word"] {
				continue
			}
			if r := replied(row["language"], "bag on", line+"\nT1 2+1\n"); len(r.Reports) != 1 || len(r.Unread) != 0 {
				t.Errorf("%s: %q is %+v, unread %v", row["language"], line, r.Reports, r.Unread)
			}
		}
	}
}
