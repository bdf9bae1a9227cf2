package report_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/unicode/norm"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/report"
	"budcall/internal/trail"
)

// corpus is the folder of replies written before the reader; its README.md
// says what each column means.
const corpus = "../../testdata/replies"

func rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(corpus, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for n, cell := range line {
			row[all[0][n]] = cell
		}
		list = append(list, row)
	}
	return list
}

// known is the memory that the corpus describes.
func known(t testing.TB) report.Known {
	t.Helper()
	sites := map[string]report.Site{}
	person := map[string]report.Person{}
	byAddress := map[string]report.Person{}
	mine := map[string][]string{}
	for _, r := range rows(t, "trees.csv") {
		s := sites[r["site"]]
		if s.Code == "" {
			mine[r["lead"]] = append(mine[r["lead"]], r["site"])
			if r["deputy"] != "" {
				mine[r["deputy"]] = append(mine[r["deputy"]], r["site"])
			}
		}
		s.Code = r["site"]
		s.Trees = append(s.Trees, trail.Tree{Short: r["short"], Code: r["code"], Gone: r["gone"] == "yes"})
		sites[s.Code] = s
	}
	for _, r := range rows(t, "people.csv") {
		zone, err := time.LoadLocation(r["zone"])
		if err != nil {
			t.Fatal(err)
		}
		p := report.Person{Code: r["person"], Name: r["name"], Language: r["language"], Zone: zone, Sites: mine[r["person"]]}
		person[p.Code], byAddress[r["address"]] = p, p
	}
	mails := map[string]report.Mail{}
	for _, r := range rows(t, "mails.csv") {
		sent, err := time.Parse(time.RFC3339, r["sent"])
		if err != nil {
			t.Fatal(err)
		}
		m := report.Mail{To: person[r["person"]], Sent: sent}
		for _, s := range strings.Fields(r["sites"]) {
			m.Calls = append(m.Calls, report.Call{Site: s, Task: call.Task(r["task"])})
		}
		mails[r["token"]] = m
	}
	return report.Known{
		Mail:   func(token string) (report.Mail, bool) { m, ok := mails[token]; return m, ok },
		Person: func(address string) (report.Person, bool) { p, ok := byAddress[address]; return p, ok },
		Site:   func(code string) (report.Site, bool) { s, ok := sites[code]; return s, ok },
	}
}

func options(received string) report.Options {
	at, err := time.Parse(time.RFC3339, received)
	if err != nil {
		panic(err)
	}
	return report.Options{Received: at, Own: []string{"calls@birch.example"}}
}

// grown gives a mail of the corpus, with its one line repeated where
// expected.csv says so.
func grown(t testing.TB, row map[string]string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(corpus, row["file"]))
	if err != nil {
		t.Fatal(err)
	}
	if row["grow"] == "" {
		return raw
	}
	var line, times int
	if _, err := fmt.Sscanf(row["grow"], "repeat line %d x %d", &line, &times); err != nil {
		t.Fatal(err)
	}
	lines := bytes.SplitAfter(raw, []byte("\n"))
	var out bytes.Buffer
	for n, l := range lines {
		if n+1 == line {
			for range times {
				out.Write(l)
			}
			continue
		}
		out.Write(l)
	}
	return out.Bytes()
}

// disagree are rows where the reader and the table part, with the reason.
var disagree = map[string]string{}

func TestTheTwoHundredReplies(t *testing.T) {
	k, agree := known(t), 0
	table := rows(t, "expected.csv")
	if len(table) != 200 {
		t.Fatalf("%d rows, not 200", len(table))
	}
	for _, row := range table {
		got := report.Read(grown(t, row), k, options(row["received"]))
		wrong := compare(row, got)
		reason, noted := disagree[row["file"]]
		switch {
		case len(wrong) == 0 && noted:
			t.Errorf("%s agrees now: take it out of the table of those that don't (%s)", row["file"], reason)
		case len(wrong) == 0:
			agree++
		case noted:
			t.Logf("%s: noted: %s", row["file"], reason)
		default:
			t.Errorf("%s (%s)\n%s", row["file"], row["note"], strings.Join(wrong, "\n"))
		}
	}
	t.Logf("%d of %d rows agree", agree, len(table))
}

// compare gives the columns in which a reading and its row differ.
func compare(row map[string]string, r report.Reading) (wrong []string) {
	site := ""
	if p := strings.Split(r.Token, "."); len(p) > 1 && p[1] != "digest" {
		site = p[1]
	}
	var said, unread []string
	if r.Outcome == report.Returned {
		said = append(said, "mail returned")
	}
	for _, rep := range r.Reports {
		if site == "" && r.Token == "" {
			site = rep.Site
		}
		said = append(said, inWords(rep, site, r.Written))
	}
	for _, l := range r.Unread {
		unread = append(unread, cut60(l.Text))
	}
	for column, got := range map[string]string{
		"sender_known": string(r.Sender), "sender": r.Person, "token": r.Token, "token_in": r.TokenIn, "language": r.Language,
		"outcome": string(r.Outcome), "understood": strings.Join(said, "; "), "not_understood": strings.Join(unread, " | "),
		"photos": strconv.Itoa(len(r.Photos)),
	} {
		if want := norm.NFC.String(row[column]); got != want {
			wrong = append(wrong, fmt.Sprintf("  %-14s is %q\n  %-14s not %q", column, got, "", want))
		}
	}
	return wrong
}

func cut60(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// inWords says a report in the words of the column "understood".
func inWords(rep trail.Report, callSite string, written civil.Date) string {
	tree := rep.Tree
	if tree != "" && rep.Site != callSite {
		tree = rep.Site + " " + tree
	}
	on := ""
	if rep.Day != written {
		on = " on " + rep.Day.String()
	}
	counts := fmt.Sprintf("%d+%d", rep.Selfing, rep.Control)
	text := string(rep.Kind)
	switch rep.Kind {
	case trail.BagsOn:
		text = "bags on " + counts
	case trail.Picked:
		text = "picked " + counts
	case trail.LotReceived:
		text = "lot received " + counts
	case trail.NoCatkins:
		tree, text = "", strings.TrimSpace("no catkins "+tree)
	case trail.Going:
		text = "going " + rep.On.String()
	case trail.Away:
		text = "away " + rep.On.String() + ".." + rep.Until.String()
	case trail.BagsOff:
		if text = "bags off"; tree == "" {
			text = "all bags off"
		}
	case trail.NotYet:
		text = "buds closed"
	case trail.StageSeen:
		text = map[int]string{1: "buds swollen", 7: "green tip"}[rep.BBCH]
	}
	return strings.TrimSpace(tree+" "+text) + on
}
